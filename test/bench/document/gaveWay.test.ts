import { expect, it } from "vitest";
import { type GaveWay, joinedGaveWay } from "../../../server/bench/document/gaveWay.ts";

const one = (what: GaveWay["what"], stamp: string) => ({ what, stamp }) as GaveWay;
const wordsOf = (all: readonly GaveWay[]) => all.map(({ what, stamp }) => `${what} ${stamp}`);

it("joinedGaveWay(one, other) is in order of the writing, and of one moment the output first, from whichever side", () => {
  const here = [one("trace", "b"), one("output", "c"), one("trace", "d")];
  const there = [one("output", "e"), one("output", "b"), one("trace", "d")];
  const inOrder = ["output b", "trace b", "output c", "trace d", "output e"];
  expect(wordsOf(joinedGaveWay(here, there))).toEqual(inOrder);
  expect(wordsOf(joinedGaveWay(there, here))).toEqual(inOrder);
});
