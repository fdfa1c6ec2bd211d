import { describe, expect, it } from "vitest";
import { attemptDraft } from "../../server/bench/things/attempt.ts";
import { isCrash } from "../../server/bench/things/outcome.ts";
import { runAttempt } from "../../server/demo/simulatedAttempt.ts";
import { allCoreLoad, inRoom, type SimulatedBench, steadyStateOf } from "../../server/demo/simulatedBench.ts";
import { seededRandom } from "../../server/numerics/seededRandom.ts";
import { acceptableClockMhz, drawnBench, steadyHazardPerMin } from "../support/drawnBench.ts";

const bench = drawnBench(seededRandom(3));
const acceptable = acceptableClockMhz(bench, 1250);
const at = (clockMhz: number) => ({ clockMhz, voltageMv: 1250 });
const runs = (count: number, on: SimulatedBench, clockMhz: number, plannedS: number, seed: number) => {
  const random = seededRandom(seed);
  return Array.from({ length: count }, () => runAttempt(on, at(clockMhz), allCoreLoad, plannedS, random));
};

describe("runAttempt", () => {
  it("gives the same attempt for the same seed and another for another", () => {
    const first = runs(20, bench, acceptable + 40, 3600, 5);
    expect(runs(20, bench, acceptable + 40, 3600, 5)).toEqual(first);
    expect(runs(20, bench, acceptable + 40, 3600, 6)).not.toEqual(first);
  });

  it("passes nine of ten one-hour runs at the acceptable clock, over 3,000 runs on 30 chips", () => {
    let passed = 0;
    for (let seed = 0; seed < 30; seed++) {
      const some = drawnBench(seededRandom(seed), seed % 2 === 0 ? "power" : "mixed");
      const clockMhz = acceptableClockMhz(some, 1250);
      passed += runs(100, some, clockMhz, 3600, seed).filter((run) => run.outcome === "pass").length;
    }
    expect(passed).toBeGreaterThan(2640);
    expect(passed).toBeLessThan(2790);
  });

  it("fails at a rate that grows by e with each width of the hazard", () => {
    const hotRate = (widths: number, seed: number) => {
      const clockMhz = acceptable + widths * bench.chip.hazardWidthMhz;
      const failures = runs(1500, bench, clockMhz, 14_400, seed).filter((run) => isCrash(run.outcome));
      const exposureMin = failures.reduce((sum, run) => sum + (run.failedAtS ?? 0) / 60, 0);
      const survived = (1500 - failures.length) * 240;
      return failures.length / (exposureMin + survived);
    };
    const ratio = hotRate(2, 21) / hotRate(1, 22);
    expect(ratio).toBeGreaterThan(Math.E * 0.88);
    expect(ratio).toBeLessThan(Math.E * 1.12);
  });

  it("fails in levelled heat as an exponential law has it: as many in the first half-life as after it", () => {
    const warm = { ...bench, runScatter: 0, cooling: { ...bench.cooling, fastS: 1, slowS: 1 } };
    const clockMhz = acceptableClockMhz(warm, 1250, allCoreLoad, { chance: 0.5, hours: 1 });
    const early = runs(2000, warm, clockMhz, 3600, 8).filter((run) => isCrash(run.outcome)).length;
    expect(early).toBeGreaterThan(930);
    expect(early).toBeLessThan(1070);
    expect(Math.exp(-60 * steadyHazardPerMin(warm, at(clockMhz), allCoreLoad))).toBeCloseTo(0.5, 6);
  });

  it("rarely starts at all far beyond the limit, and always starts well within it", () => {
    const started = (clockMhz: number) =>
      runs(400, bench, clockMhz, 60, 9).filter((run) => run.durationS > 0).length;
    expect(started(acceptable)).toBeGreaterThanOrEqual(395);
    expect(started(acceptable + 400)).toBeLessThanOrEqual(4);
  });

  it("reads the level of the warm-up after a quarter of an hour, within noise", () => {
    const steady = steadyStateOf(bench, at(acceptable - 300), allCoreLoad);
    const read = runs(400, bench, acceptable - 300, 3600, 10).map((run) => run.loadTempC ?? Number.NaN);
    const mean = read.reduce((sum, each) => sum + each, 0) / read.length;
    expect(Math.abs(mean - steady.tempC)).toBeLessThan(0.1);
    const spread = Math.max(...read) - Math.min(...read);
    expect(spread).toBeGreaterThan(0.5);
    expect(spread).toBeLessThan(6 * (steady.riseC * bench.runScatter + 0.2));
  });

  it("stops for heat, without clock evidence, where the limit of the chip is reached first", () => {
    const hot = inRoom({ ...bench, chip: { ...bench.chip, tempLimitC: 55 } }, { ambientC: 35 });
    const [run] = runs(1, hot, acceptable - 400, 3600, 12);
    expect(run).toMatchObject({ outcome: "too-hot", failedAtS: null });
    expect(run?.durationS).toBeLessThan(3600);
    expect(run?.loadTempC).toBeLessThanOrEqual(56);
  });

  it("notices a wrong result only at the end", () => {
    const wrong = runs(400, bench, acceptable + 60, 600, 13).filter((run) => run.outcome === "wrong-result");
    expect(wrong.length).toBeGreaterThan(5);
    for (const run of wrong) {
      expect(run.durationS).toBe(600);
      expect(run.failedAtS).toBeLessThan(600);
    }
  });

  it("reads nothing of a chip that did not start", () => {
    const dead = runs(20, bench, acceptable + 600, 600, 14).filter((run) => run.durationS === 0);
    expect(dead.length).toBeGreaterThan(15);
    for (const run of dead)
      expect([run.loadTempC, run.powerW, run.loadVoltageMv]).toEqual([null, null, null]);
  });

  it("makes readings that the journal would take", () => {
    for (const { warmUp, failedAtS, ...run } of runs(50, bench, acceptable + 30, 900, 15)) {
      const draft = { workloadId: "01890000-0000-7000-8000-000000000001", ...at(5000), ...run };
      expect(attemptDraft.safeParse(draft).error).toBeUndefined();
      expect(warmUp.steadyC).toBeGreaterThan(warmUp.startC);
      if (failedAtS !== null) expect(run.outcome).not.toBe("pass");
    }
  });
});
