import { byName, type KnobValues, knobValue, offset } from "./asSet.ts";
import { attemptEdit } from "./attempt.ts";
import type { AttemptFieldName } from "./attemptFields.ts";

/** Fields in which a whole evening may be wrong. What a run came to is corrected one by one. */
export const correctableFields = [
  "workloadId",
  "ambientC",
  "fanMode",
  "fanRpm",
  "clockMhz",
  "voltageMv",
  "offset",
  "offsets",
  "part",
  "knobs",
  "loadLine",
  "voltageReadAt",
  "powerAt",
  "startKind",
  "clockMode",
  "training",
  "freshBoot",
  "settingReadBack",
] as const satisfies readonly AttemptFieldName[];
export type CorrectableField = (typeof correctableFields)[number];

/** A correction as it is sent. Of knobs and offsets by part only what was wrong is named; null takes it out. */
export const correctionSent = attemptEdit.extend({
  knobs: byName(knobValue.nullable()).nullish(),
  offsets: byName(offset.nullable()).nullish(),
});

type ByName = Readonly<Record<string, unknown>>;

/**
 * What a field of an attempt would be once corrected. Knobs and parts that the correction does not name stay; an
 * attempt that was not set part by part has no offset of a part to correct.
 */
export function correctedValue(field: CorrectableField, was: unknown, value: unknown): unknown {
  if (field !== "knobs" && field !== "offsets") return value;
  if (value == null || (field === "offsets" && was == null)) return was;
  return laidOver(was as ByName | null, value as ByName);
}

function laidOver(was: ByName | null, over: ByName): ByName | null {
  const all = Object.entries({ ...was, ...over }).filter(([, said]) => said !== null);
  return all.length === 0 ? null : Object.fromEntries(all);
}

/** Of knobs or offsets by part what a correction names; all of it where it names nothing. */
export const namedBy = (value: unknown, said: KnobValues | null): KnobValues | null =>
  value == null || said === null
    ? said
    : Object.fromEntries(Object.entries(said).filter(([name]) => Object.hasOwn(value, name)));
