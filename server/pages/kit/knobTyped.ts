import { type KnobValue, knobValueWords } from "../../bench/things/asSet.ts";
import type { Chip } from "../../bench/things/chip.ts";
import type { Knob } from "../../bench/things/knob.ts";
import { invalid } from "../../bench/things/refusal.ts";
import { knobsBeside, timingKnobs, timingsRead, timingsWritten } from "../../bench/things/timings.ts";
import { kinds } from "./attemptKinds.ts";
import { type Typed, textTyped } from "./forms.ts";

export const knobField = (id: string): string => `knob-${id}`;
export const timingsField = "timings";

type Said = Readonly<Record<string, KnobValue>> | null;

/** How an attempt had its knobs, as the fields of a form have it; those it said nothing of are left out. */
export function knobsWritten(chip: Chip, said: Said): Typed {
  if (said === null) return {};
  const timings = timingKnobs(chip);
  const typed: Record<string, string> = {};
  for (const { id } of knobsBeside(chip))
    if (Object.hasOwn(said, id)) typed[knobField(id)] = knobValueWords(said[id] as KnobValue);
  if (timings.some(({ id }) => Object.hasOwn(said, id))) typed[timingsField] = timingsWritten(timings, said);
  return typed;
}

/** The knobs as typed in fields of their own; null where none was. A refusal stands beside its field. */
export function knobsTyped(typed: Typed, chip: Chip): Said {
  const said: Record<string, KnobValue> = {};
  for (const knob of knobsBeside(chip)) {
    const text = textTyped(typed[knobField(knob.id)]);
    if (text !== null) said[knob.id] = positionTyped(knob, text);
  }
  Object.assign(said, timingsTyped(typed, chip));
  return Object.keys(said).length > 0 ? said : null;
}

function positionTyped(knob: Knob, text: string): KnobValue {
  const read = kinds.knobs.read(`${knob.id} = ${unitless(text, knob.unit)}`) as Record<string, KnobValue>;
  return read[knob.id] as KnobValue;
}

const unitless = (text: string, unit: string): string =>
  unit !== "" && text.toLowerCase().endsWith(unit.toLowerCase()) ? text.slice(0, -unit.length).trim() : text;

function timingsTyped(typed: Typed, chip: Chip): Readonly<Record<string, KnobValue>> {
  const line = textTyped(typed[timingsField]);
  if (line === null) return {};
  const timings = timingKnobs(chip);
  const read = timingsRead(line, timings);
  if (read !== null) return read;
  const words = `Write the timings as one line, such as 30-38-38-76: ${timings.map(({ name }) => name).join(", ")}.`;
  throw invalid(words, { [timingsField]: words });
}

/** Where words about the knobs of an attempt belong in such a form. */
export const knobFieldInForm = (field: string, chip: Chip): string => {
  const [, id] = /^knobs\.(.+)$/.exec(field) ?? [];
  if (id === undefined) return field;
  return timingKnobs(chip).some((knob) => knob.id === id) ? timingsField : knobField(id);
};
