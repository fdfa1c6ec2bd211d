import { describe, expect, it } from "vitest";
import { groupedBy } from "../../server/numerics/groups.ts";
import { interpolated } from "../../server/numerics/interpolation.ts";

describe("interpolated(points, x)", () => {
  const points = [
    [0, 0],
    [1, 10],
    [3, 0],
  ] as const;
  it("reads straight lines, points included", () => {
    expect([0, 0.5, 1, 2, 3].map((x) => interpolated(points, x))).toEqual([0, 5, 10, 5, 0]);
  });
  it("is undefined outside and without points", () => {
    expect(interpolated(points, 3.1)).toBeUndefined();
    expect(interpolated(points, Number.NaN)).toBeUndefined();
    expect(interpolated([], 0)).toBeUndefined();
  });
  it("a single point answers at itself", () => {
    expect(interpolated([[2, 7]], 2)).toBe(7);
  });
});

describe("groupedBy(items, keyOf)", () => {
  it("keeps every item once, in order", () => {
    expect([...groupedBy([3, 1, 4, 1, 5], (value) => value % 2)]).toEqual([
      [1, [3, 1, 1, 5]],
      [0, [4]],
    ]);
  });
});
