import { expect, it } from "vitest";
import { accountIn } from "../../../server/bench/document/accountInDocument.ts";

const createdAt = "2031-05-04T08:00:00.000Z";
const edited = (minute: number, to: string) => ({
  at: `2031-05-04T09:0${minute}:00.000Z`,
  changes: { note: ["", to] as [unknown, unknown] },
});
const versionOf = (version: number, edits: number): number => {
  const history = [edited(1, "one"), edited(2, "two")].slice(0, edits);
  const updatedAt = history.at(-1)?.at ?? createdAt;
  const sent = { id: "chip-1", createdAt, updatedAt, version, history };
  return accountIn("chips", sent, { name: "Heron", note: history.length === 0 ? "" : "two" }).version;
};

it("a thing from elsewhere has the version it came with, and no fewer than its edits make", () => {
  expect([versionOf(1, 0), versionOf(5, 2), versionOf(3, 2)]).toEqual([1, 5, 3]);
  expect(versionOf(1, 2)).toBe(3);
});
