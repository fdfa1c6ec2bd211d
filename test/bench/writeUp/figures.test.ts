import { describe, expect, it } from "vitest";
import {
  clockFigure,
  counted,
  intervalFigure,
  inWords,
  minutesFigure,
  signedFigure,
} from "../../../server/bench/writeUp/figures.ts";

describe("figures of an account", () => {
  it("carry their sign where there is something to sign", () => {
    expect([12.34, -12.34, 0, 0.04, -0.04].map((value) => signedFigure(value, 1))).toEqual([
      ...["+12.3", "−12.3", "0.0", "0.0", "0.0"],
    ]);
    expect(signedFigure(null, 1)).toBe(minutesFigure(null));
  });

  it("tell both ends of an interval, or the one that is known", () => {
    expect(intervalFigure(-12, 30, 0)).toBe("−12 to 30");
    expect(intervalFigure(null, 30, 0)).toBe("at most 30");
    expect(intervalFigure(-12, null, 0)).toBe("at least −12");
    expect(intervalFigure(null, null, 0)).toBe(clockFigure(null));
  });

  it("leave out idle zeros of clocks, and tenths of minutes from ten minutes on", () => {
    expect([4625, 4625.5, 4625.1234].map(clockFigure)).toEqual(["4625", "4625.5", "4625.123"]);
    expect([0, 90, 599, 600, 3690].map(minutesFigure)).toEqual(["0.0", "1.5", "10.0", "10", "62"]);
  });

  it("count and list in words", () => {
    expect([counted(1, "run"), counted(2, "run"), counted(0, "entry", "entries")]).toEqual([
      ...["1 run", "2 runs", "0 entries"],
    ]);
    expect([[], ["a"], ["a", "b"], ["a", "b", "c"]].map(inWords)).toEqual(["", "a", "a and b", "a, b and c"]);
  });
});
