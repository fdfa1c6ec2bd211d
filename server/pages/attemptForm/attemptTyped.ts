import type { KnobValues } from "../../bench/things/asSet.ts";
import {
  type Attempt,
  type AttemptDraft,
  type AttemptEdit,
  attemptDraft,
  attemptEdit,
} from "../../bench/things/attempt.ts";
import type { Chip } from "../../bench/things/chip.ts";
import { invalid, Refusal } from "../../bench/things/refusal.ts";
import { offsetOf } from "../../bench/things/setting.ts";
import { ceilingPassed } from "../../bench/things/settingRules.ts";
import { read } from "../../requests/reading.ts";
import { kinds } from "../kit/attemptKinds.ts";
import type { Typed } from "../kit/forms.ts";
import { knobsTyped, knobsWritten } from "../kit/knobTyped.ts";
import { voltageTyped } from "../kit/quantityTyped.ts";
import { formFields } from "./formFields.ts";

/** Every field that was on the form; one that was not stays as it is. */
function fieldsTyped(typed: Typed): Record<string, unknown> {
  const there = formFields.filter(({ name }) => typed[name] !== undefined);
  const fields = Object.fromEntries(there.map(({ name, kind }) => [name, kinds[kind].read(typed[name])]));
  if (typed.note !== undefined) fields.note ??= "";
  return {
    ...fields,
    ...(typed.outcome === undefined ? {} : { outcome: typed.outcome }),
    ...ceilingTyped(typed),
  };
}

/** The confirmation is of one setting: with another typed since, it is asked again. */
function ceilingTyped(typed: Typed, chip?: Chip): { aboveCeiling?: true } {
  const { aboveCeiling, voltageMv } = typed;
  if (aboveCeiling === undefined) return {};
  const confirmedMv = voltageTyped(aboveCeiling);
  const isConfirmed =
    chip !== undefined && aboveCeiling === ceilingWords(typed, chip)
      ? true
      : confirmedMv !== null && confirmedMv === voltageTyped(voltageMv);
  return isConfirmed ? { aboveCeiling: true } : {};
}

/** In whose words a setting as typed lies above a ceiling; null where it lies above none. */
export function ceilingWords(typed: Typed, chip: Chip): string | null {
  const voltageMv = voltageTyped(typed.voltageMv);
  return ceilingPassed({ voltageMv, knobs: knobsSaid(typed, chip) }, chip)?.words ?? null;
}

/** Null also where a line of timings is none. */
function knobsSaid(typed: Typed, chip: Chip): KnobValues | null {
  if (typed.knobs !== undefined) return kinds.knobs.read(typed.knobs) as KnobValues | null;
  try {
    return knobsTyped(typed, chip);
  } catch (error) {
    if (error instanceof Refusal) return null;
    throw error;
  }
}

const onlyOnceEnded = { durationS: null, failedFromS: null, failedToS: null, startedAt: null };

/** An attempt to record. One being armed begins now and has not failed yet; a pass ran as long as planned. */
export function draftTyped(typed: Typed, chip: Chip): AttemptDraft {
  const fields: Record<string, unknown> = { ...fieldsTyped(typed), ...ceilingTyped(typed, chip) };
  fields.knobs = knobsTyped(typed, chip);
  if (fields.offsets != null) Object.assign(fields, byPartTyped(fields));
  if (fields.outcome === "running") Object.assign(fields, onlyOnceEnded);
  else if (fields.durationS == null) fields.durationS = usualDurationS(fields);
  if (fields.outcome !== "running") assertDurationSaid(fields.durationS);
  return read(attemptDraft, fields, "The attempt");
}

/** The part under test stands at the dial's own offset, or as listed; without one, all that are listed ran. */
function byPartTyped({ offset, offsets, part }: Record<string, unknown>): Record<string, unknown> {
  if (offset == null) return {};
  const words = "Say one offset for all, or one for each part, and leave the other blank.";
  if (part == null) throw invalid(words, { offset: words });
  return { offset: null, offsets: { ...(offsets as object), [String(part)]: offset } };
}

/** Asked in the words of a form, where minutes are as good as seconds. */
export function assertDurationSaid(durationS: unknown): void {
  const words = "Say how long it ran: minutes, or 90 s, 3:24, 1 h 5 min.";
  if (durationS == null || Number.isNaN(durationS)) throw invalid(words, { durationS: words });
}

function usualDurationS({ outcome, plannedS }: Record<string, unknown>): unknown {
  if (outcome === "pass") return plannedS ?? null;
  return outcome === "no-start" || outcome === "fell-back" ? 0 : null;
}

export const editTyped = (typed: Typed, chip?: Chip): AttemptEdit =>
  read(attemptEdit, { ...fieldsTyped(typed), ...ceilingTyped(typed, chip) }, "The attempt");

/** An attempt as it would stand in a form. */
export const typedFrom = (attempt: Partial<Attempt>): Typed => ({
  ...Object.fromEntries(formFields.map(({ name, kind }) => [name, kinds[kind].write(attempt[name] ?? null)])),
  ...(attempt.outcome === undefined ? {} : { outcome: attempt.outcome }),
});

/** The offset an attempt was about, by which part, and where each of the others stood. */
export function offsetWritten(attempt: Pick<Attempt, "offset" | "offsets" | "part">): Typed {
  const { offset, offsets, part } = typedFrom({ ...attempt, offset: offsetOf(attempt) });
  return { offset, offsets, part };
}

/** What an attempt was set to, as the dials of the bench have it. */
export const asSetTyped = (attempt: Attempt, chip: Chip): Typed => ({
  ...(chip.axis === "offset" ? offsetWritten(attempt) : clockWritten(attempt)),
  ...knobsWritten(chip, attempt.knobs),
});

const clockWritten = ({ clockMhz, voltageMv }: Attempt): Typed => {
  const typed = typedFrom({ clockMhz, voltageMv });
  return { clockMhz: typed.clockMhz, voltageMv: typed.voltageMv };
};
