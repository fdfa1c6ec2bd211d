import type { FieldRefusals } from "../../bench/things/refusal.ts";
import { formatDuration, formatMilli } from "../../html/format.ts";

/** Fields of forms that are typed in millivolts; every other voltage is typed in volts. */
const inMillivolts: ReadonlySet<string> = new Set(["voltageStepMv", "countIsAboutMv"]);

const durations = /^(plannedS|durationS|failedFromS|failedToS|have)$/;

const inVolts = (words: string): string =>
  words
    .replace(/(\d+(?:\.\d+)?) mV\b/g, (_, figure: string) => `${formatMilli(Number(figure))} V`)
    .replace(/\bin mV\b/g, "in V");

const inMinutes = (words: string): string =>
  words
    .replace(/(\d+(?:\.\d+)?) s\b/g, (_, figure: string) => formatDuration(Number(figure)))
    .replace(/a number in s\b/g, "minutes, or 90 s, 3:24, 1 h 5 min");

function worded(field: string, words: string): string {
  if (durations.test(field)) return inMinutes(words);
  return field.endsWith("Mv") && !inMillivolts.has(field) ? inVolts(words) : words;
}

/** What is refused, in the unit in which the form has its field: the journal's own is of no use to whoever types. */
export const inUnitsOfFields = (fields: FieldRefusals): FieldRefusals =>
  Object.fromEntries(Object.entries(fields).map(([field, words]) => [field, worded(field, words)]));
