import { describe, expect, it } from "vitest";
import { type Grid, turned } from "../../web/controls/turned.ts";

const grid: Grid = { step: 25, origin: 0, min: undefined, max: undefined, decimals: 0 };
const fine: Grid = { ...grid, step: 0.0125, decimals: 3 };

describe("turned", () => {
  it("goes one step along the grid", () => {
    expect([turned("4675", 1, grid), turned("4675", -1, grid)]).toEqual(["4700", "4650"]);
  });

  it("goes to the nearer grid value from between two", () => {
    expect([turned("4680", 1, grid), turned("4680", -1, grid)]).toEqual(["4700", "4675"]);
  });

  it("counts the grid from where it is told", () => {
    expect(turned("4233", 1, { ...grid, origin: 4233 })).toBe("4258");
  });

  it("shows every decimal a fine step needs, and no noise", () => {
    expect(turned("1.200", 1, fine)).toBe("1.2125");
    let value = "0.900";
    for (let i = 0; i < 80; i++) value = turned(value, 1, fine) ?? "";
    expect(value).toBe("1.900");
  });

  it("reads a decimal comma", () => {
    expect(turned("1,2", 1, fine)).toBe("1.2125");
  });

  it("stays inside its ends", () => {
    expect(turned("5", -1, { ...grid, step: 10, min: 0 })).toBe("0");
    expect(turned("95", 1, { ...grid, step: 10, max: 96 })).toBe("96");
  });

  it("gives nothing for what is no number", () => {
    expect([turned("", 1, grid), turned("fast", 1, grid), turned("5", 1, { ...grid, step: 0 })]).toEqual([
      undefined,
      undefined,
      undefined,
    ]);
  });
});
