import { type FieldRefusals, Refusal } from "../../bench/things/refusal.ts";
import { refusedInUnits, type UnitsOfForm } from "./fieldWords.ts";

/** A form as it was typed: every value a string, so that a refused form loses nothing. */
export type Typed = Readonly<Record<string, string | undefined>>;

/** What a form shows again after a refusal. */
export type Refused = Readonly<{ message: string; fields: FieldRefusals }>;

export type FormState = Readonly<{ typed: Typed; refused: Refused | null }>;

export const freshForm = (typed: Typed = {}): FormState => ({ typed, refused: null });

/** The body of a posted form; the last of several values of one name wins. */
export function typedIn(body: unknown): Typed {
  const typed: Record<string, string> = {};
  for (const [name, value] of Object.entries((body ?? {}) as Record<string, unknown>)) {
    const last = Array.isArray(value) ? value.at(-1) : value;
    if (typeof last === "string") typed[name] = last;
  }
  return typed;
}

/** The form to show again for a refusal a person can mend, in the units of the chip it is about; anything else is thrown on. */
export function formAfter(error: unknown, typed: Typed, units: UnitsOfForm | null = null): FormState {
  if (!(error instanceof Refusal) || (error.code !== "invalid" && error.code !== "conflict")) throw error;
  const { message, fields } = refusedInUnits(error, typed, units);
  return { typed, refused: { message, fields: inTypedFields(fields, typed) } };
}

/** Words about one line of a list stand beside the field in which the whole list is typed. */
const inTypedFields = (fields: FieldRefusals, typed: Typed): FieldRefusals =>
  Object.fromEntries(
    Object.entries(fields).map(([name, words]) => {
      const [list = name] = name.split(".");
      return [typed[name] === undefined && typed[list] !== undefined ? list : name, words];
    }),
  );

export const textTyped = (typed: string | undefined): string | null => {
  const trimmed = (typed ?? "").trim();
  return trimmed === "" ? null : trimmed;
};

/** Whether the request came from a swap and wants only the piece that changed. */
export const wantsPiece = (headers: Readonly<Record<string, unknown>>): boolean =>
  headers["hx-request"] === "true" && headers["hx-boosted"] !== "true";
