import { expect, it } from "vitest";
import { attendantDraft } from "../../../server/bench/things/attendant.ts";

it("an attendant names up to 64 sources that it can read, and as many that it cannot", () => {
  const said = { buildId: "00000000-0000-7000-8000-000000000000", bootId: "one", state: "here" };
  const sources = (count: number): string[] => Array.from({ length: count }, (_, at) => `sensor ${at}`);
  const isTaken = (can: number, cannot: number): boolean =>
    attendantDraft.safeParse({ ...said, canRead: sources(can), cannotRead: sources(cannot) }).success;
  expect([isTaken(64, 64), isTaken(65, 0), isTaken(0, 65)]).toEqual([true, false, false]);
});
