import { knobValueWords } from "../../bench/things/asSet.ts";
import type { Attempt } from "../../bench/things/attempt.ts";
import type { Chip } from "../../bench/things/chip.ts";
import {
  type CorrectableField,
  correctableFields,
  correctionSent,
  namedBy,
} from "../../bench/things/correction.ts";
import { type Knob, knobAt } from "../../bench/things/knob.ts";
import { invalid } from "../../bench/things/refusal.ts";
import { knobsBeside, timingKnobs, timingsWritten } from "../../bench/things/timings.ts";
import type { Workload } from "../../bench/things/workload.ts";
import { read } from "../../requests/reading.ts";
import { type FormField, fieldNamed, fieldWords } from "../attemptForm/formFields.ts";
import { kinds } from "../kit/attemptKinds.ts";
import type { Typed } from "../kit/forms.ts";
import { knobField, knobsTyped, timingsField } from "../kit/knobTyped.ts";

/** What may be wrong in many attempts: a field, one knob, or the timings as one line. */
export type Corrigible = Readonly<{
  /** As the form and its address call it. */
  name: string;
  field: CorrectableField;
  title: string;
  /** By which input it is asked for. */
  input: Readonly<{ field: FormField } | { knob: Knob } | { timings: readonly Knob[] }>;
  /** As it was typed, to be sent with the correction. */
  read(typed: Typed): unknown;
  /** What an attempt says of it; of a list only what a value names. */
  words(attempt: Attempt, value?: unknown): string;
}>;

/** Everything that attempts of this chip may say. */
export const corrigiblesOf = (chip: Chip, workloads: readonly Workload[]): readonly Corrigible[] =>
  correctableFields.filter((name) => isSaidOf(name, chip)).flatMap((name) => byField(name, chip, workloads));

const ofParts: ReadonlySet<CorrectableField> = new Set(["offsets", "part"]);

const isSaidOf = (name: CorrectableField, { axis, kind, parts }: Chip): boolean =>
  (name !== "offset" || axis === "offset") &&
  (!ofParts.has(name) || (axis === "offset" && parts.length > 0)) &&
  (name !== "training" || kind === "memory");

function byField(
  name: CorrectableField,
  chip: Chip,
  workloads: readonly Workload[],
): Corrigible | readonly Corrigible[] {
  if (name === "knobs") return knobsOf(chip);
  const field = fieldNamed(name) as FormField;
  return {
    ...{ name, field: name, title: field.title, input: { field } },
    read: (typed) => fieldTyped(field, typed),
    words: (attempt, value) => {
      if (name === "workloadId")
        return workloads.find(({ id }) => id === attempt[name])?.name ?? "another load";
      return fieldWords(field, name === "offsets" ? namedBy(value, attempt[name]) : attempt[name], chip);
    },
  };
}

function knobsOf(chip: Chip): readonly Corrigible[] {
  const timings = timingKnobs(chip);
  const common = { field: "knobs" as const };
  const all: Corrigible[] = knobsBeside(chip).map((knob) => ({
    ...{ ...common, name: knobField(knob.id), title: knob.name, input: { knob } },
    read: (typed) => knobsSaid(typed, chip, [knob]),
    words: ({ knobs }) => knobWords(knob, knobs),
  }));
  if (timings.length === 0) return all;
  const line: Corrigible = {
    ...{ ...common, name: timingsField, title: "Timings", input: { timings } },
    read: (typed) => knobsSaid(typed, chip, timings),
    words: ({ knobs }) => timingsWritten(timings, knobs),
  };
  return [line, ...all];
}

/** Of these knobs those typed; where nothing is typed all of them stood as usual. */
function knobsSaid(typed: Typed, chip: Chip, knobs: readonly Knob[]): unknown {
  const said = knobsTyped(typed, chip) ?? Object.fromEntries(knobs.map(({ id }) => [id, null]));
  return read(correctionSent, { knobs: said }, "The correction").knobs;
}

function knobWords(knob: Knob, said: Attempt["knobs"]): string {
  const value = knobAt(knob, said);
  const words = `${knobValueWords(value)}${knob.unit && typeof value === "number" ? ` ${knob.unit}` : ""}`;
  return said !== null && Object.hasOwn(said, knob.id) ? words : `as usual: ${words}`;
}

function fieldTyped(field: FormField, typed: Typed): unknown {
  const value = kinds[field.kind].read(typed[field.name]);
  if (value === null && (field.kind === "byPart" || !field.sent.safeParse(undefined).success)) {
    const words = "Say what it was.";
    throw invalid(words, { [field.name]: words });
  }
  const sent = read(correctionSent, { [field.name]: value }, "The correction");
  return (sent as Record<string, unknown>)[field.name] ?? null;
}
