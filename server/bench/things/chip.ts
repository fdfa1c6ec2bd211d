import { z } from "zod";
import type { Kept } from "./thing.ts";
import {
  clockMhz,
  clockStepMhz,
  name,
  note,
  temperatureC,
  temperatureDifferenceC,
  voltageMv,
  voltageStepMv,
} from "./units.ts";

export const chipKinds = ["cpu", "gpu", "memory"] as const;
export type ChipKind = (typeof chipKinds)[number];

export const chipDraft = z.strictObject({
  name,
  kind: z.enum(chipKinds, { error: "A chip is one of: cpu, gpu, memory." }),
  tempLimitC: temperatureC,
  warnMarginC: temperatureDifferenceC.nullish(),
  voltageCeilingMv: voltageMv.nullish(),
  stockClockMhz: clockMhz.nullish(),
  stockVoltageMv: voltageMv.nullish(),
  clockStepMhz: clockStepMhz.nullish(),
  voltageStepMv: voltageStepMv.nullish(),
  sensorAccuracyC: temperatureDifferenceC.nullish(),
  note: note.nullish(),
});
export type ChipDraft = z.infer<typeof chipDraft>;

/** The sample under test. */
export type Chip = Kept &
  Readonly<{
    name: string;
    kind: ChipKind;
    tempLimitC: number;
    warnMarginC: number;
    voltageCeilingMv: number | null;
    stockClockMhz: number | null;
    stockVoltageMv: number | null;
    clockStepMhz: number;
    voltageStepMv: number;
    sensorAccuracyC: number;
    note: string;
  }>;

/** A draft with the usual values where none was given: warning margin 10 °C, steps of 25 MHz and 12.5 mV, sensor ±1 °C. */
export const chipFrom = (draft: ChipDraft): Omit<Chip, keyof Kept> => ({
  name: draft.name,
  kind: draft.kind,
  tempLimitC: draft.tempLimitC,
  warnMarginC: draft.warnMarginC ?? 10,
  voltageCeilingMv: draft.voltageCeilingMv ?? null,
  stockClockMhz: draft.stockClockMhz ?? null,
  stockVoltageMv: draft.stockVoltageMv ?? null,
  clockStepMhz: draft.clockStepMhz ?? 25,
  voltageStepMv: draft.voltageStepMv ?? 12.5,
  sensorAccuracyC: draft.sensorAccuracyC ?? 1,
  note: draft.note ?? "",
});
