import { describe, expect, it } from "vitest";
import { meanBetween } from "../../../server/bench/heat/heatTrace.ts";

describe("meanBetween(t, values, span, isWanted)", () => {
  const t = [0, 1, 2, 3, 4, 5];
  const values = [100, 1, Number.NaN, 3, 8, 100];

  it("takes what is there between two times, both included", () => {
    expect(meanBetween(t, values, { fromS: 1, toS: 4 })).toEqual({ count: 3, mean: 4 });
  });
  it("leaves out what is not wanted", () => {
    const span = { fromS: 1, toS: 4 };
    expect(meanBetween(t, values, span, (value) => value < 8)).toEqual({ count: 2, mean: 2 });
    expect(meanBetween(t, values, span, (_, row) => row === 4)).toEqual({ count: 1, mean: 8 });
  });
  it("has no mean of nothing, nor of rows that came after the times were read", () => {
    expect(meanBetween(t, values, { fromS: 6, toS: 9 })).toEqual({ count: 0, mean: undefined });
    expect(meanBetween([0, 1], values, { fromS: 1, toS: 9 })).toEqual({ count: 1, mean: 1 });
  });
});
