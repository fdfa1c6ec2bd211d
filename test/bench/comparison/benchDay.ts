import type { ClockApart } from "../../../server/bench/comparison/clockApart.ts";
import type { ComparedBuild, ComparedRun } from "../../../server/bench/runs/comparedRun.ts";
import type { Setting } from "../../../server/bench/things/setting.ts";
import type { SeededRandom } from "../../../server/numerics/seededRandom.ts";

/** A run of the reference setting with nothing unusual about it. */
type ClockedRun = ComparedRun & Setting;

export const run = (over: Partial<ClockedRun> & { id: string; mountId: string }): ClockedRun => ({
  workloadId: "all-core",
  clockMhz: 4600,
  voltageMv: 1200,
  outcome: "pass",
  startedAt: "2031-03-01T10:00:00.000Z",
  durationS: 900,
  ambientC: 22,
  loadTempC: 80,
  peakTempC: null,
  startTempC: null,
  supplyTempC: null,
  loadVoltageMv: null,
  currentA: null,
  powerW: null,
  powerAt: null,
  fanRpm: null,
  effectiveClockMhz: null,
  throttled: null,
  clockMode: null,
  correctedErrors: null,
  score: null,
  ...over,
});

export const build = (name: string, runs: readonly ComparedRun[], chipId = "chip"): ComparedBuild => ({
  id: name,
  name,
  chipId,
  runs,
});

type Day = Readonly<{ riseC: number; mounts: number; runsPerMount: number; mountC: number; runC: number }>;

/** A simulated bench day: each mount its own error, each run its own, read to a tenth in a room that wanders, by instruments slightly off. */
export function simulatedBuild(name: string, day: Day, random: SeededRandom): ComparedBuild {
  const runs: ComparedRun[] = [];
  const offC = random.uniformIn(-0.25, 0.25);
  for (let mount = 0; mount < day.mounts; mount++) {
    const mountErrorC = day.mountC * random.normal();
    for (let repeat = 0; repeat < day.runsPerMount; repeat++) {
      const ambientC = Math.round(random.uniformIn(19, 25) * 10) / 10;
      const loadTempC = ambientC + day.riseC + offC + mountErrorC + day.runC * random.normal();
      runs.push(
        run({
          id: `${name}-${mount}-${repeat}`,
          mountId: `${name}-${mount}`,
          ambientC,
          loadTempC: Math.round(loadTempC * 10) / 10,
        }),
      );
    }
  }
  return build(name, runs);
}

/** What a fit of both builds says of one voltage, 1200 mV unless another is given. */
export const fittedApart = (
  differenceMhz: number,
  low: number | null,
  high: number | null,
  voltageMv = 1200,
): ClockApart => ({
  differenceMhz,
  low,
  high,
  joint: true,
  voltages: [{ voltageMv, differenceMhz, low, high }],
});
