import { describe, expect, it } from "vitest";
import { voltagesBeside } from "../../../server/bench/next/voltagesBeside.ts";
import { testChip } from "../../support/evidenceRows.ts";

describe("voltagesBeside", () => {
  const chip = testChip({ stockVoltageMv: 1150, voltageStepMv: 12.5, voltageCeilingMv: 1250 });

  it("names what was tried and voltages four steps apart about the answer, none above the ceiling", () => {
    expect(voltagesBeside(1200, [1200], chip)).toEqual([1100, 1150, 1200, 1250]);
    expect(voltagesBeside(1250, [1250], chip)).toEqual([1150, 1200, 1250]);
  });

  it("names none within two steps of one tried, and six at most, the nearest", () => {
    expect(voltagesBeside(1200, [1170, 1200], chip)).toEqual([1100, 1170, 1200, 1250]);
    const many = [1000, 1025, 1050, 1075, 1100, 1150, 1200, 1250];
    expect(voltagesBeside(1200, many, chip)).toEqual([1050, 1075, 1100, 1150, 1200, 1250]);
  });

  it("goes no higher than what was tried or stock where no ceiling is entered", () => {
    const open = { ...chip, voltageCeilingMv: null };
    expect(voltagesBeside(1100, [1100], open)).toEqual([1000, 1050, 1100, 1150]);
  });
});
