import { dayMs } from "../actions/keeping.ts";
import type { NoiseReading } from "../bench/noise/noiseReading.ts";
import type { Build, Mount } from "../bench/things/build.ts";
import { seededRandom } from "../numerics/seededRandom.ts";
import { type BenchDiary, benchDiary, type DemoPlace, type DiaryEntry } from "./benchDiary.ts";
import { type DemoBuildKey, demoBenches } from "./demoBenches.ts";
import { seededKeeper } from "./demoIds.ts";
import { type DemoParts, demoParts } from "./demoParts.ts";
import { fanEvening } from "./fanEvening.ts";
import { firstDay } from "./firstDay.ts";
import { noiseMeter } from "./noiseMeter.ts";
import type { DemoSession } from "./routines.ts";
import { secondDay } from "./secondDay.ts";
import type { SimulatedRoom } from "./simulatedBench.ts";
import { thirdDay } from "./thirdDay.ts";

export type BenchDays = Readonly<{
  parts: DemoParts;
  builds: readonly Build[];
  mounts: readonly Mount[];
  entries: readonly DiaryEntry[];
  noise: readonly NoiseReading[];
}>;

export const hourMs = 3_600_000;

/** An evening with the fans and three bench days, the last of them yesterday. The same `now` and seed give the same days. */
export function benchDays(now: string, seed: number): BenchDays {
  const random = seededRandom(seed);
  const kept = seededKeeper(seededRandom(seed + 1));
  const today = Math.floor(Date.parse(now) / dayMs) * dayMs;
  const at = (day: number, hour: number) => today - (4 - day) * dayMs + hour * hourMs;
  const dated = (day: number, hour: number) => new Date(at(day, hour)).toISOString();
  const parts = demoParts(kept, {
    frameL: dated(0, 17),
    frameS: dated(1, 7.1),
    cupboardS: dated(0, 17.2),
    cupboardL: dated(1, 7.3),
    louvredS: dated(3, 8),
  });
  const diary = benchDiary(at(1, 7.5), roomOf(today), parts.workloads, kept, random);
  const places = placesOf(parts, diary);
  const meter = noiseMeter(diary, parts, kept, random);
  const evening = eveningBefore(at(0, 18), today, parts, [places.frameL, places.cupboardS], seed);
  const session: DemoSession = { diary, places, measureNoise: meter.measure };
  firstDay(session);
  diary.until(at(2, 7.5));
  secondDay(session);
  diary.until(at(3, 7.5));
  thirdDay(session);
  const builds = Object.values(parts.builds);
  return {
    parts,
    builds,
    mounts: diary.mounts,
    entries: [...evening.entries, ...diary.entries],
    noise: [...evening.readings, ...meter.readings],
  };
}

/** Has a diary and luck of its own, so that the days after it are what they would be without it. */
function eveningBefore(
  startMs: number,
  today: number,
  parts: DemoParts,
  places: readonly DemoPlace[],
  seed: number,
): Readonly<{ entries: readonly DiaryEntry[]; readings: readonly NoiseReading[] }> {
  const random = seededRandom(seed + 2);
  const kept = seededKeeper(seededRandom(seed + 3));
  const diary = benchDiary(startMs, roomOf(today), parts.workloads, kept, random);
  const readings = fanEvening(diary, places, parts, kept, random);
  return { entries: diary.entries, readings };
}

function placesOf(parts: DemoParts, diary: BenchDiary): Record<DemoBuildKey, DemoPlace> {
  const place = (key: DemoBuildKey, paste: string, note = "") =>
    diary.place(parts.builds[key], demoBenches[key], { paste, note });
  return {
    frameL: place("frameL", "grey, from the tube"),
    frameS: place("frameS", "grey, from the tube"),
    cupboardS: place("cupboardS", "thin, from the syringe"),
    cupboardL: place("cupboardL", "grey, from the tube"),
    louvredS: place("louvredS", "grey, from the tube", "not touched: the mount from before the door"),
  };
}

/** What the thermometer shows on the three mornings; it climbs by nearly three degrees until evening. */
const mornings = [20.4, 23.6, 18.2] as const;

export function roomOf(today: number): (ms: number) => SimulatedRoom {
  return (ms) => {
    const day = Math.min(2, Math.max(0, 3 + Math.floor((ms - 6 * hourMs - today) / dayMs)));
    const turn = (((ms - today) / hourMs - 7) / 24) * 2 * Math.PI;
    return {
      ambientC: (mornings[day] ?? 20) + 1.4 * (1 - Math.cos(turn)),
      driftCPerH: (1.4 * Math.sin(turn) * 2 * Math.PI) / 24,
      backgroundDba: day === 1 ? 29.1 : 28.4,
    };
  };
}
