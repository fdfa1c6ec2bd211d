import { describe, expect, it } from "vitest";
import { voltageRowTyped } from "../../../server/pages/kit/voltageRow.ts";

describe("voltageRowTyped(row, highest)", () => {
  it.each([
    ["", []],
    ["1.05, 1.1, 1.15", [1050, 1100, 1150]],
    ["1.1,1.15,1.2", [1100, 1150, 1200]],
    ["1050 1100", [1050, 1100]],
    ["1100,1150,1200", [1100, 1150, 1200]],
    ["800,850", [800, 850]],
    ["1062.5,1075", [1062.5, 1075]],
    ["1,05; 1,1", [1050, 1100]],
    ["1,05, 1,1", [1050, 1100]],
    ["1,1 1,2", [1100, 1200]],
    ["1,2; 1", [1000, 1200]],
    ["1; 2", [1000, 2000]],
    ["1, 2", [1000, 2000]],
    ["1,25", [1250]],
    ["1,0625", [1062.5]],
    ["1062,5", [1062.5]],
    ["1.2 V, 1250 mV,", [1200, 1250]],
    ["1.2 1.1 1.2", [1100, 1200]],
  ])("reads %j", (typed, voltagesMv) => {
    expect(voltageRowTyped(typed)).toEqual({ voltagesMv, refused: null });
  });

  it("refuses a comma that may part two voltages or stand in one, and shows how to write either", () => {
    expect(voltageRowTyped("1,2")).toEqual({
      voltagesMv: [],
      refused: "“1,2” may mean 1.2 V, or 1 V and 2 V. Write 1.2, or 1; 2.",
    });
    expect(voltageRowTyped("1,1,1,2").refused).toContain("Put a semicolon between voltages");
    expect(voltageRowTyped("1,05,1,1").refused).toContain("in more than one way");
  });

  it("takes the one reading that the chip's ceiling leaves, where it leaves one", () => {
    expect(voltageRowTyped("1,2", 1400)).toEqual({ voltagesMv: [1200], refused: null });
    expect(voltageRowTyped("2,1", 1400).refused).toContain("may mean 2.1 V, or 2 V and 1 V");
    expect(voltageRowTyped("1.5", 1400)).toEqual({ voltagesMv: [1500], refused: null });
  });

  it.each(["abc", "1.1; x", "1.1 0.05", "4", "1.1,abc", ";-1"])(
    "refuses %j, and says what is none",
    (typed) => {
      const { voltagesMv, refused } = voltageRowTyped(typed);
      expect(voltagesMv).toEqual([]);
      expect(refused).toMatch(/^“.+” (is no voltage from 0\.1 to 3 V|can be read in more than one way)/);
    },
  );

  it("takes no more than twenty", () => {
    const row = Array.from({ length: 21 }, (_, i) => 900 + 10 * i).join(" ");
    expect(voltageRowTyped(row).refused).toBe("At most 20 voltages make a map; these are 21.");
  });
});
