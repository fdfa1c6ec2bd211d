import { type KnobValue, type KnobValues, knobValueWords } from "./asSet.ts";
import type { Chip } from "./chip.ts";
import { type Knob, knobAt } from "./knob.ts";
import { withinSentence } from "./words.ts";

/** The timings of a memory: its knobs without a unit of which less is harder, in their order. */
export const timingKnobs = ({ kind, knobs }: Pick<Chip, "kind" | "knobs">): readonly Knob[] =>
  kind === "memory"
    ? knobs.filter(({ harder, unit, choices }) => harder === "down" && unit === "" && choices.length === 0)
    : [];

/** The knobs that are no timings. */
export const knobsBeside = (chip: Pick<Chip, "kind" | "knobs">): readonly Knob[] => {
  const timings = new Set(timingKnobs(chip));
  return chip.knobs.filter((knob) => !timings.has(knob));
};

/** 30-38-38-76 */
export const timingsWritten = (
  timings: readonly Knob[],
  said: Readonly<Record<string, KnobValue>> | null,
): string => timings.map((knob) => knobValueWords(knobAt(knob, said))).join("-");

/** How the knobs stood that belong to the setting, the usual values of those unsaid too; null where the chip has none. */
export function knobsOfSetting(
  { knobs }: Pick<Chip, "knobs">,
  said: Readonly<Record<string, KnobValue>> | null,
): KnobValues | null {
  const own = knobs.filter(({ belongs }) => belongs === "setting");
  return own.length === 0 ? null : Object.fromEntries(own.map((knob) => [knob.id, knobAt(knob, said)]));
}

/** "timings 30-38-38-76, controller voltage 1.15 V": the knobs named, the timings of a memory as one line. */
export function knobsInWords(chip: Pick<Chip, "kind" | "knobs">, values: KnobValues): string {
  const named = ({ id }: Knob): boolean => Object.hasOwn(values, id);
  const timings = timingKnobs(chip).filter(named);
  const isLine = timings.length > 1;
  const others = (isLine ? knobsBeside(chip) : chip.knobs)
    .filter(named)
    .map((knob) =>
      `${withinSentence(knob.name)} ${knobValueWords(knobAt(knob, values))} ${knob.unit}`.trim(),
    );
  return [...(isLine ? [`timings ${timingsWritten(timings, values)}`] : []), ...others].join(", ");
}

/**
 * A pasted line as values of the timings in their order, the first of them at least; null where it is none. Blanks,
 * slashes and commas part them as well as hyphens do, and words such as "CL" before a number are passed over.
 */
export function timingsRead(line: string, timings: readonly Knob[]): Record<string, KnobValue> | null {
  const words = line
    .replace(/[a-z]+\s*(?=\d)/gi, (word) => (/^auto/i.test(word) ? word : ""))
    .split(/[\s,/;-]+/)
    .filter((word) => word !== "");
  if (words.length === 0 || words.length > timings.length) return null;
  if (!words.every((word) => /^\d{1,4}$/.test(word) || /^auto$/i.test(word))) return null;
  return Object.fromEntries(
    words.map((word, i) => [timings[i]!.id, /^auto$/i.test(word) ? "auto" : Number(word)]),
  );
}
