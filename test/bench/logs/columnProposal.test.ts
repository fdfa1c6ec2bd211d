import { describe, expect, it } from "vitest";
import { type ColumnGlimpse, columnsProposed } from "../../../server/bench/logs/columnProposal.ts";

const numbers = (name: string, ...of: number[]): ColumnGlimpse => ({ name, kind: "number", numbers: of });
const timeUnit = (...of: number[]) =>
  columnsProposed([numbers("Time", ...of), numbers("CPU temp", 40, 41)]).find(
    ({ channel }) => channel === "time",
  )?.unit;

describe("the unit of a time that is written without one", () => {
  it("is days where a spreadsheet counted them: five digits that go on by parts of a day", () => {
    expect(timeUnit(45_000.5, 45_000.5001, 45_000.5002)).toBe("day");
    expect(timeUnit(45_000.5, 45_000.5, 45_000.5)).toBe("s");
    expect(timeUnit(45_000, 45_001, 45_002)).toBe("s");
    expect(timeUnit(45_000.5, 45_100.5)).toBe("s");
    expect(timeUnit(45_000.5, 45_000.4)).toBe("s");
    expect([timeUnit(28_999.5, 28_999.501), timeUnit(80_000.5, 80_000.501)]).toEqual(["s", "s"]);
  });

  it("is seconds or parts of them by how many digits an instant since 1970 has", () => {
    const instant = 1_935_000_000;
    expect([1, 1e3, 1e6, 1e9].map((parts) => timeUnit(instant * parts, (instant + 1) * parts))).toEqual([
      ...["s", "ms", "µs", "ns"],
    ]);
    expect(timeUnit(0, 1, 2)).toBe("s");
  });
});

describe("which of several columns tells the chip", () => {
  const chosen = (...names: string[]) =>
    columnsProposed([numbers("Time", 0, 1), ...names.map((name) => numbers(name, 40, 41))]).find(
      ({ channel }) => channel === "temperature",
    )?.column;

  it("is the one named after it before a neighbour's, its package before a core, the hottest before others", () => {
    expect(chosen("Board temp", "CPU temp")).toBe("CPU temp");
    expect(chosen("Socket temp", "Core temp")).toBe("Core temp");
    expect(chosen("Core temp", "Package temp")).toBe("Package temp");
    expect(chosen("Core 3 temp", "Core max temp")).toBe("Core max temp");
    expect(chosen("GPU memory temp", "GPU temp")).toBe("GPU temp");
  });
});
