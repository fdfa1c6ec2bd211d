import * as z from "zod";
import type { Kept } from "../things/thing.ts";
import { clockMhz, distanceM, id, instant, note, soundDba, voltageMv } from "../things/units.ts";

export const noiseDraft = z.strictObject({
  workloadId: id.nullish(),
  clockMhz: clockMhz.nullish(),
  voltageMv: voltageMv.nullish(),
  distanceM,
  levelsDba: z.array(soundDba).min(1, "At least one level is needed.").max(1000),
  backgroundDba: soundDba.nullish(),
  takenAt: instant.nullish(),
  note: note.nullish(),
});
export type NoiseDraft = z.infer<typeof noiseDraft>;

/** Sound pressure levels at one distance under one condition, with the background. */
export type NoiseReading = Kept &
  Readonly<{
    buildId: string;
    workloadId: string | null;
    clockMhz: number | null;
    voltageMv: number | null;
    distanceM: number;
    levelsDba: readonly number[];
    backgroundDba: number | null;
    takenAt: string;
    note: string;
  }>;
