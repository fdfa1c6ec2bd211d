/** Why something people asked for was not done. The words are for a person; the code is for a script. */
export type RefusalCode =
  | "invalid"
  | "missing"
  | "conflict"
  | "too-large"
  | "forbidden"
  | "misdirected"
  | "full"
  | "stopped"
  | "internal";

export type FieldRefusals = Readonly<Record<string, string>>;

/** Thrown when a request cannot be granted. Anything else that is thrown is a fault of ours. */
export class Refusal extends Error {
  readonly code: RefusalCode;
  readonly fields: FieldRefusals;
  /** What the interface adds to the answer, such as the version that was found in place of the one expected. */
  readonly extra: Readonly<Record<string, unknown>>;

  constructor(
    code: RefusalCode,
    message: string,
    fields: FieldRefusals = {},
    extra: Readonly<Record<string, unknown>> = {},
  ) {
    super(message);
    this.name = "Refusal";
    this.code = code;
    this.fields = fields;
    this.extra = extra;
  }
}

export const invalid = (message: string, fields: FieldRefusals = {}): Refusal =>
  new Refusal("invalid", message, fields);

export const missing = (what: string): Refusal => new Refusal("missing", `There is no such ${what}.`);

export const conflict = (message: string, extra: Readonly<Record<string, unknown>> = {}): Refusal =>
  new Refusal("conflict", message, {}, extra);
