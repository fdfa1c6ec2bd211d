import { z } from "zod";
import type { Parts } from "./build.ts";
import { type Outcome, outcomes } from "./outcome.ts";
import type { Kept } from "./thing.ts";
import {
  clockMhz,
  count,
  currentA,
  durationS,
  fanRpm,
  id,
  instant,
  note,
  powerW,
  temperatureC,
  text,
  voltageMv,
} from "./units.ts";

export const voltageReadPlaces = ["chip", "board", "probe"] as const;
export const powerReadPlaces = ["chip", "board", "wall"] as const;
export const startKinds = ["cold", "warm", "restart"] as const;
export const clockModes = ["fixed", "boost"] as const;
export const harderDirections = ["up", "down", "none"] as const;

const alsoSet = z.strictObject({
  name: text(80).refine((value) => value !== "", "A name is needed."),
  value: z.union([z.number(), text(120)]),
  harder: z.enum(harderDirections),
});
export type AlsoSet = Readonly<{ name: string; value: number | string; harder: "up" | "down" | "none" }>;

/** Every field of an attempt as it may be sent. Which must be there is said by `attemptDraft`. */
export const attemptFields = {
  workloadId: id,
  clockMhz,
  voltageMv,
  outcome: z.enum(outcomes, { error: `An outcome is one of: ${outcomes.join(", ")}.` }),
  durationS: durationS.nullish(),
  startedAt: instant.nullish(),
  plannedS: durationS.nullish(),
  ambientC: temperatureC.nullish(),
  loadTempC: temperatureC.nullish(),
  peakTempC: temperatureC.nullish(),
  startTempC: temperatureC.nullish(),
  supplyTempC: temperatureC.nullish(),
  loadVoltageMv: voltageMv.nullish(),
  voltageReadAt: z.enum(voltageReadPlaces).nullish(),
  loadLine: text(120).nullish(),
  currentA: currentA.nullish(),
  powerW: powerW.nullish(),
  powerAt: z.enum(powerReadPlaces).nullish(),
  fanRpm: fanRpm.nullish(),
  fanMode: text(120).nullish(),
  effectiveClockMhz: clockMhz.nullish(),
  throttled: z.boolean({ error: "throttled is true or false." }).nullish(),
  correctedErrors: count("The number of corrected errors", 1_000_000_000).nullish(),
  startKind: z.enum(startKinds).nullish(),
  clockMode: z.enum(clockModes).nullish(),
  alsoSet: z.array(alsoSet).max(50).nullish(),
  score: z.number().min(-1e12).max(1e12).nullish(),
  note: note.nullish(),
  tags: z
    .array(text(40).refine((value) => value !== "", "A tag needs a word."))
    .max(20)
    .nullish(),
  failedFromS: durationS.nullish(),
  failedToS: durationS.nullish(),
  /** Says that a voltage above the chip's ceiling is meant. */
  aboveCeiling: z.boolean().nullish(),
};

export const attemptDraft = z.strictObject(attemptFields);
export type AttemptDraft = z.infer<typeof attemptDraft>;
export const attemptEdit = z.strictObject(attemptFields).partial();
export type AttemptEdit = z.infer<typeof attemptEdit>;

/** One try, with every field; null where unknown. */
export type Attempt = Kept &
  Readonly<{
    buildId: string;
    mountId: string;
    workloadId: string;
    clockMhz: number;
    voltageMv: number;
    outcome: Outcome;
    /** Null only while running. */
    durationS: number | null;
    startedAt: string;
    plannedS: number | null;
    ambientC: number | null;
    loadTempC: number | null;
    peakTempC: number | null;
    startTempC: number | null;
    supplyTempC: number | null;
    loadVoltageMv: number | null;
    voltageReadAt: (typeof voltageReadPlaces)[number] | null;
    loadLine: string | null;
    currentA: number | null;
    powerW: number | null;
    powerAt: (typeof powerReadPlaces)[number] | null;
    fanRpm: number | null;
    fanMode: string | null;
    effectiveClockMhz: number | null;
    throttled: boolean | null;
    correctedErrors: number | null;
    startKind: (typeof startKinds)[number] | null;
    clockMode: (typeof clockModes)[number] | null;
    alsoSet: readonly AlsoSet[];
    score: number | null;
    note: string;
    tags: readonly string[];
    failedFromS: number | null;
    failedToS: number | null;
    aboveCeiling: boolean;
    setAside: Readonly<{ reason: string; at: string }> | null;
    /** The parts of the build as they stood when the attempt was recorded. */
    asBuilt: Parts;
  }>;

export const setAsideDraft = z.strictObject({
  reason: text(500).refine((reason) => reason.trim() !== "", "Say why it is set aside."),
});
