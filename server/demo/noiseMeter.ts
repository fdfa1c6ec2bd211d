import type { NoiseReading } from "../bench/noise/noiseReading.ts";
import type { SeededRandom } from "../numerics/seededRandom.ts";
import type { BenchDiary, DemoPlace } from "./benchDiary.ts";
import { type DemoLoadKey, demoLoads } from "./demoBenches.ts";
import type { DemoParts, Keeper } from "./demoParts.ts";
import { control } from "./routines.ts";
import { rounded } from "./simulatedAttempt.ts";
import { inRoom, soundLevelDba, steadyStateOf } from "./simulatedBench.ts";

/** Three levels at idle and three under load, at half a metre, the background read when the tester thinks of it. */
export function noiseMeter(diary: BenchDiary, parts: DemoParts, kept: Keeper, random: SeededRandom) {
  const readings: NoiseReading[] = [];
  const { clockMhz, voltageMv } = control;
  const read = (place: DemoPlace, load: DemoLoadKey, note: string) => {
    const bench = inRoom(place.bench, diary.room());
    const levelDba = soundLevelDba(bench, steadyStateOf(bench, control, demoLoads[load]).tempC);
    diary.pass(2);
    readings.push({
      ...kept(diary.now()),
      buildId: place.build.id,
      workloadId: parts.workloads[load].id,
      clockMhz,
      voltageMv,
      distanceM: 0.5,
      levelsDba: [0, 0, 0].map(() => rounded(levelDba + 0.35 * random.normal(), 0.1)),
      backgroundDba: readings.length % 7 === 4 ? null : rounded(bench.room.backgroundDba, 0.1),
      takenAt: diary.now(),
      note,
    });
  };
  const measure = (place: DemoPlace, note: string) => {
    read(place, "idle", note);
    read(place, "stacking", "");
  };
  return { readings, measure };
}
