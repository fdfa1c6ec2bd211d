import { describe, expect, it } from "vitest";
import { runAttempt } from "../../server/demo/simulatedAttempt.ts";
import { allCoreLoad } from "../../server/demo/simulatedBench.ts";
import { traceCsv, traceOf } from "../../server/demo/simulatedTrace.ts";
import { temperatureAt } from "../../server/demo/warmUp.ts";
import { seededRandom } from "../../server/numerics/seededRandom.ts";
import { acceptableClockMhz, drawnBench } from "../support/drawnBench.ts";

const bench = drawnBench(seededRandom(4));
const setting = { clockMhz: acceptableClockMhz(bench, 1250) - 200, voltageMv: 1250 };
const attempt = runAttempt(bench, setting, allCoreLoad, 3600, seededRandom(5));
const span = { beforeS: 120, afterS: 300 };
const rows = traceOf(bench, setting, allCoreLoad, attempt, span, seededRandom(6));

describe("traceOf", () => {
  it("is the same for the same seed", () => {
    expect(traceOf(bench, setting, allCoreLoad, attempt, span, seededRandom(6))).toEqual(rows);
  });

  it("has a row a second from before the load until after it", () => {
    expect(rows.map((row) => row.timeS)).toEqual(Array.from({ length: 4020 }, (_, second) => second));
  });

  it("follows the two exponentials within its noise", () => {
    const under = rows.slice(120, 3720);
    const misses = under.map((row) => row.tempC - temperatureAt(attempt.warmUp, row.timeS - 120));
    const mean = misses.reduce((sum, each) => sum + each, 0) / misses.length;
    const deviation = Math.sqrt(misses.reduce((sum, each) => sum + (each - mean) ** 2, 0) / misses.length);
    expect(Math.abs(mean)).toBeLessThan(0.15);
    expect(deviation).toBeGreaterThan(0.4);
    expect(deviation).toBeLessThan(0.8);
  });

  it("reads in the sensor's steps", () => {
    expect(rows.every((row) => Number.isInteger(row.tempC / bench.sensor.stepC))).toBe(true);
  });

  it("levels where the attempt says it did", () => {
    const level = rows.slice(3540, 3720).reduce((sum, row) => sum + row.tempC, 0) / 180;
    expect(Math.abs(level - (attempt.loadTempC ?? Number.NaN))).toBeLessThan(0.6);
  });

  it("ends with the crash", () => {
    const crashed = { ...attempt, durationS: 100, failedAtS: 100 };
    expect(traceOf(bench, setting, allCoreLoad, crashed, span, seededRandom(6))).toHaveLength(220);
  });
});

describe("traceCsv", () => {
  it("is a header and a line a row", () => {
    const lines = traceCsv(rows).trimEnd().split("\n");
    expect(lines).toHaveLength(4021);
    expect(lines[0]).toMatch(/^Time \[s\],/);
    expect(new Set(lines.map((line) => line.split(",").length))).toEqual(new Set([9]));
  });
});
