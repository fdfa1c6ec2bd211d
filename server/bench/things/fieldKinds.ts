import * as z from "zod";
import { clockMhz, durationS, temperatureC, text, voltageMv } from "./units.ts";

/** What a field holds. Forms and files each know one way for every kind. */
export type FieldKind =
  | "clock"
  | "voltage"
  | "temperature"
  | "power"
  | "current"
  | "fanSpeed"
  | "duration"
  | "instant"
  | "number"
  | "choice"
  | "yesNo"
  | "text"
  | "note"
  | "tags"
  | "alsoSet"
  | "offset"
  | "byPart"
  | "temperatures"
  | "counts"
  | "knobs"
  | "starts"
  | "errors"
  | "workload"
  | "outcome"
  | "confirmation";

/** Under which heading of a form a field stands. */
export type FieldGroup = "setting" | "asSet" | "memory" | "heat" | "electric" | "conduct" | "times" | "words";

export type FieldDescription = Readonly<{
  kind: FieldKind;
  /** How it may be sent: its unit and range, and the sentence that refuses anything else. */
  sent: z.ZodType;
  /** What is kept where nothing was said; without one it has to be said, or follows from the rest. */
  blank?: null | "" | false | readonly [];
  title: string;
  hint?: string;
  choices?: Readonly<Record<string, string>>;
  /** Left out where no form asks for it as it asks for the rest. */
  group?: FieldGroup;
  /** Words by which testers head such a column of a file. */
  heads: RegExp;
}>;

export const clock = { kind: "clock", sent: clockMhz.nullish(), blank: null } as const;
export const voltage = { kind: "voltage", sent: voltageMv.nullish(), blank: null } as const;
export const temperature = { kind: "temperature", sent: temperatureC.nullish(), blank: null } as const;
export const duration = { kind: "duration", sent: durationS.nullish(), blank: null } as const;
export const words = { kind: "text", sent: text(120).nullish(), blank: null } as const;

export const choice = <const Of extends readonly string[]>(
  of: Of,
  choices: Readonly<Record<Of[number], string>>,
) => ({ kind: "choice", sent: z.enum(of).nullish(), blank: null, choices }) as const;
