import * as z from "zod";
import { calledThing, isAutomatic, type KnobValue, type KnobValues, knobValue } from "./asSet.ts";
import { name, text } from "./units.ts";

/** Which way a knob makes a setting harder to hold; within a window either way from the value held. */
export const knobDirections = ["up", "down", "window", "none"] as const;
/** Whether a knob is part of what is searched, or of what surrounds it, as power limits are. */
export const knobBelongings = ["setting", "context"] as const;

const knobDraft = z.strictObject({
  id: z
    .string()
    .regex(/^[a-z0-9][a-z0-9-]{0,39}$/, "A knob's id is made of small letters, digits and hyphens."),
  name: name.max(60),
  unit: text(20).nullish(),
  step: z.number().positive("A step lies above 0.").max(1e6).nullish(),
  harder: z.enum(knobDirections, { error: `Harder is one of: ${knobDirections.join(", ")}.` }),
  belongs: z.enum(knobBelongings, { error: `A knob belongs to one of: ${knobBelongings.join(", ")}.` }),
  usual: knobValue.nullish(),
  choices: z.array(calledThing).max(40).nullish(),
  ceiling: z.number().min(-1e9).max(1e9).nullish(),
});
export type KnobDraft = z.infer<typeof knobDraft>;

export const knobDrafts = z
  .array(knobDraft)
  .max(64, "A chip has at most 64 knobs.")
  .refine((all) => new Set(all.map(({ id }) => id)).size === all.length, "Two knobs have the same id.");

/** Something else that is set, besides clock, voltage and offset. */
export type Knob = Readonly<{
  id: string;
  name: string;
  unit: string;
  step: number | null;
  harder: (typeof knobDirections)[number];
  belongs: (typeof knobBelongings)[number];
  /** What it stands at where an attempt says nothing of it. */
  usual: KnobValue;
  choices: readonly string[];
  /** Above it a confirmation is asked. */
  ceiling: number | null;
}>;

export function knobFrom(draft: KnobDraft): Knob {
  const choices = draft.choices ?? [];
  return {
    id: draft.id,
    name: draft.name,
    unit: draft.unit ?? "",
    step: draft.step ?? null,
    harder: draft.harder,
    belongs: draft.belongs,
    usual: chosen(draft.usual ?? "auto", choices),
    choices,
    ceiling: draft.ceiling ?? null,
  };
}

/** Of a knob with choices, "3" and 3 are one: choices are words. */
const chosen = (value: KnobValue, choices: readonly string[]): KnobValue =>
  choices.length > 0 && !isAutomatic(value) ? String(value) : value;

/** The knobs of an attempt as their chip has them; the same object where nothing was said otherwise. */
export function knobsChosen<Said extends KnobValues | null>(said: Said, knobs: readonly Knob[]): Said {
  if (said === null) return said;
  const numbered = knobs.filter(
    ({ id, choices }) => choices.length > 0 && Object.hasOwn(said, id) && typeof said[id] === "number",
  );
  if (numbered.length === 0) return said;
  return { ...said, ...Object.fromEntries(numbered.map(({ id }) => [id, String(said[id])])) };
}

/** What a knob stood at in an attempt that may say nothing of it. */
export const knobAt = (
  knob: Pick<Knob, "id" | "usual">,
  said: Readonly<Record<string, KnobValue>> | null,
): KnobValue => {
  const value = said?.[knob.id];
  // What every object answers to is a function: a knob may be called constructor. Asking what is its own takes long.
  return value === undefined || typeof value === "function" ? knob.usual : value;
};

/** The knobs that stood elsewhere than usual, and where. */
export const knobsElsewhere = (
  knobs: readonly Pick<Knob, "id" | "usual">[],
  said: KnobValues | null,
): Record<string, KnobValue> =>
  Object.fromEntries(
    knobs.flatMap((knob) => {
      const value = knobAt(knob, said);
      return isUsual(knob, value) ? [] : [[knob.id, value] as const];
    }),
  );

const isUsual = ({ usual }: Pick<Knob, "usual">, value: KnobValue): boolean =>
  value === usual || (isAutomatic(value) && isAutomatic(usual));
