import { describe, expect, it } from "vitest";
import { distanceTyped, levelsTyped, levelsWritten } from "../../../server/pages/noise/levelsTyped.ts";

describe("levelsTyped", () => {
  it.each([
    ["38.2 38.5 38.1", [38.2, 38.5, 38.1]],
    ["38,2 38,5", [38.2, 38.5]],
    ["38,2; 38,5", [38.2, 38.5]],
    ["38.2, 38.5, 38.1", [38.2, 38.5, 38.1]],
    ["38.2,38.5", [38.2, 38.5]],
    ["38,39,40", [38, 39, 40]],
    ["38,2", [38.2]],
    ["38.2 dB(A) 38.5 dB (A)", [38.2, 38.5]],
    ["38.2\n38.5", [38.2, 38.5]],
    ["", []],
  ])("reads %j", (typed, levels) => {
    expect(levelsTyped(typed)).toEqual(levels);
  });

  it("gives no number for what is none, so that the form says so", () => {
    expect(levelsTyped("38.2 loud")).toEqual([38.2, Number.NaN]);
  });

  it("reads back what it writes", () => {
    const levels = [38.2, 101, 0.5];
    expect(levelsTyped(levelsWritten(levels))).toEqual(levels);
  });
});

it("a distance is read in metres, with or without its unit", () => {
  expect([distanceTyped("0,5"), distanceTyped("50 cm"), distanceTyped("1 m"), distanceTyped("")]).toEqual([
    0.5,
    0.5,
    1,
    null,
  ]);
});
