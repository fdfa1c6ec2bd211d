import type { BenchDiary, DemoPlace } from "./benchDiary.ts";
import type { DemoBuildKey } from "./demoBenches.ts";
import type { WrittenInstead } from "./intent.ts";
import type { SimulatedAttempt } from "./simulatedAttempt.ts";

/** A tester at work: the diary, what stands on the bench, and the sound level meter. */
export type DemoSession = Readonly<{
  diary: BenchDiary;
  places: Readonly<Record<DemoBuildKey, DemoPlace>>;
  measureNoise: (place: DemoPlace, note: string) => void;
}>;

const stock = { clockMhz: 4300, voltageMv: 1150 } as const;

/** The setting at which all builds are run alike, to compare them. */
export const control = { load: "stacking", clockMhz: 4550, voltageMv: 1200 } as const;

/** Idle, then a load at stock: what every build begins with. */
export function settleIn(diary: BenchDiary, place: DemoPlace, note: string): void {
  diary.tryOut(place, { load: "idle", ...stock, minutes: 10, change: { note } });
  diary.tryOut(place, { load: "stacking", ...stock, minutes: 20, change: { tags: ["heat run"] } });
}

/** The same quarter of an hour again, because two runs of one build differ too. */
export function repeatControl(diary: BenchDiary, place: DemoPlace, times: number, note: string): void {
  for (let run = 0; run < times; run++) {
    const said = run === 0 ? note : "again, nothing changed";
    diary.tryOut(place, { ...control, minutes: 15, change: { note: said, tags: ["control"] } });
  }
}

/** Unwatched until breakfast: when it died is known only to lie between the last look and then. */
export function overnight(
  diary: BenchDiary,
  place: DemoPlace,
  clockMhz: number,
  load: "stacking" | "capture",
  note: string,
): void {
  const hours = 8;
  const tags = ["overnight"];
  const morningS = hours * 3600;
  const dead = {
    note: "dead at breakfast. Was still going when I locked up",
    durationS: morningS,
    failedFromS: 3600,
    failedToS: morningS,
    peakTempC: null,
  };
  const change = (run: SimulatedAttempt): WrittenInstead =>
    run.failedAtS === null ? { note, tags } : { ...dead, tags };
  diary.tryOut(place, { load, clockMhz, voltageMv: 1200, minutes: 60 * hours, change });
}
