import * as z from "zod";
import { count, durationS, temperatureC, text } from "./units.ts";

/** What a part, a place or a value in a list is called; never blank. */
export const calledThing = text(40).refine((value) => value !== "", "A name is needed.");

const milli = (value: number): number => Math.round(value * 1000) / 1000;

/** An offset in the unit of its chip, kept to a thousandth, so that equality means equal. */
export const offset = z
  .number({ error: "An offset must be a number, like -30 or 150." })
  .min(-20_000, "An offset must be at least -20000.")
  .max(20_000, "An offset must be at most 20000.")
  .overwrite(milli);

const most = 128;
const few = (value: object) => Object.keys(value).length <= most;
const tooMany = `At most ${most} may be named.`;

/** One value for each name: of parts, of places or of knobs. */
export const byName = <Value extends z.ZodType>(value: Value) =>
  z.record(calledThing, value, { error: "This must be an object of names and values." }).refine(few, tooMany);

export const offsets = byName(offset);
export const temperatures = byName(temperatureC);
export const errorCount = count("The number of corrected errors", 1_000_000_000);
export const errorCounts = byName(errorCount);

const knobPosition = z.union([z.number().min(-1e9).max(1e9).overwrite(milli), text(60)], {
  error: "A knob stands at a number, at one of its choices, or at auto.",
});

/** "auto", or `{ auto: 1.25 }` where the firmware told what it came to. */
export const knobValue = z.union([knobPosition, z.strictObject({ auto: knobPosition })], {
  error: "A knob stands at a number, at one of its choices, or at auto.",
});
export type KnobValue = Readonly<z.infer<typeof knobValue>>;
export const knobValues = byName(knobValue);
export type KnobValues = Readonly<Record<string, KnobValue>>;

export const isAutomatic = (value: KnobValue): boolean => typeof value === "object" || value === "auto";

/** "105", "level 3", "auto", "auto (1.25)". */
export const knobValueWords = (value: KnobValue): string =>
  typeof value === "object" ? `auto (${value.auto})` : String(value);

export const starts = z
  .strictObject({
    tried: count("The number of starts tried", 10_000).min(1, "At least one start was tried."),
    up: count("The number of starts that came up", 10_000),
  })
  .refine(({ tried, up }) => up <= tried, "No more starts can have come up than were tried.");

const wrongAddress = z.strictObject({
  atS: durationS,
  module: calledThing.nullish(),
  bit: count("The bit", 1023).nullish(),
});
/** Errors that a memory test found, each with when, and where that was told. */
export const errorsFound = z
  .array(wrongAddress)
  .max(200, "At most 200 errors are kept; the first tell most.");

/** What a load printed, the end of it where it was more. */
const longestOutput = 65_536;
export const output = text(longestOutput);

export const trainings = ["full", "stored", "unknown"] as const;
export const readBacks = ["confirmed", "cannot-tell", "differs"] as const;
export const tellers = ["tester", "attendant"] as const;

/** Errors on the bus say nothing about the clock. */
const silentPlaces: ReadonlySet<string> = new Set(["bus"]);

/** Of the corrected errors those that speak about the clock; null where none were read. */
export const errorsThatSpeak = (read: {
  readonly correctedErrors: number | null;
  readonly correctedErrorsAt: Readonly<Record<string, number>> | null;
}): number | null =>
  read.correctedErrorsAt === null
    ? read.correctedErrors
    : Object.entries(read.correctedErrorsAt).reduce(
        (sum, [place, errors]) => sum + (silentPlaces.has(place.toLowerCase()) ? 0 : errors),
        0,
      );
