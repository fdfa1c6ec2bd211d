import type { NoiseReading } from "../bench/noise/noiseReading.ts";
import type { SeededRandom } from "../numerics/seededRandom.ts";
import type { BenchDiary, DemoPlace } from "./benchDiary.ts";
import { demoLoads } from "./demoBenches.ts";
import type { DemoParts, Keeper } from "./demoParts.ts";
import { rounded } from "./simulatedAttempt.ts";
import { inRoom, type SimulatedBench, soundLevelDba, steadyStateOf } from "./simulatedBench.ts";

/** At a voltage that the days after it climb anyway. */
const setting = { clockMhz: 4250, voltageMv: 1150 } as const;
const speedsRpm = [900, 1100, 1300, 1500] as const;
/** The speed at which the cooler does what its bench says. */
const usualRpm = 1150;

/** More air through the same cooler: its resistance falls a little less than half as fast as the speed rises. */
const withFansAt = (bench: SimulatedBench, rpm: number): SimulatedBench => ({
  ...bench,
  fans: { ...bench.fans, idleRpm: rpm, fromC: 200, toC: 201 },
  cooling: {
    ...bench.cooling,
    resistanceCPerW: bench.cooling.resistanceCPerW * (usualRpm / rpm) ** 0.4,
  },
});

/** The evening before it all began: one gentle load at four fan speeds, the meter before each, on two of the builds. */
export function fanEvening(
  diary: BenchDiary,
  places: readonly DemoPlace[],
  parts: DemoParts,
  kept: Keeper,
  random: SeededRandom,
): NoiseReading[] {
  const readings: NoiseReading[] = [];
  for (const place of places)
    for (const fanRpm of speedsRpm) {
      const bench = withFansAt(place.bench, fanRpm);
      const change = { fanRpm, fanMode: "fixed by hand", ambientC: rounded(diary.room().ambientC, 0.1) };
      diary.tryOut({ ...place, bench }, { load: "stacking", ...setting, minutes: 15, change });
      const there = inRoom(bench, diary.room());
      const levelDba = soundLevelDba(there, steadyStateOf(there, setting, demoLoads.stacking).tempC);
      diary.pass(1);
      readings.push({
        ...kept(diary.now()),
        buildId: place.build.id,
        workloadId: parts.workloads.stacking.id,
        ...setting,
        distanceM: 0.5,
        levelsDba: [0, 0, 0].map(() => rounded(levelDba + 0.25 * random.normal(), 0.1)),
        backgroundDba: rounded(there.room.backgroundDba, 0.1),
        takenAt: diary.now(),
        note: `fans at ${fanRpm} rpm`,
      });
    }
  return readings;
}
