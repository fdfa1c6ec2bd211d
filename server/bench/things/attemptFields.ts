import * as z from "zod";
import { errorCount } from "./asSet.ts";
import { asSetFields, machineFields, memoryFields } from "./asSetFields.ts";
import { choice, clock, duration, type FieldDescription, temperature, voltage, words } from "./fieldKinds.ts";
import { mouldOf } from "./mould.ts";
import { outcomes } from "./outcome.ts";
import { currentA, fanRpm, id, instant, note, powerW, text } from "./units.ts";

export const voltageReadPlaces = ["chip", "board", "probe"] as const;
export const powerReadPlaces = ["chip", "board", "wall"] as const;
export const startKinds = ["cold", "warm", "restart"] as const;
export const clockModes = ["fixed", "boost"] as const;
const harderDirections = ["up", "down", "none"] as const;

const alsoSet = z.strictObject({
  name: text(80).refine((value) => value !== "", "A name is needed."),
  value: z.union([z.number(), text(120)]),
  harder: z.enum(harderDirections),
});
export type AlsoSet = Readonly<z.infer<typeof alsoSet>>;
const tag = text(40).refine((value) => value !== "", "A tag needs a word.");

/**
 * Every field of an attempt, once. What may be sent and what is kept follow from this list, and so do the forms, the
 * facts on an attempt's page, its history, what is exported and what a file of attempts may hold, in this order.
 */
const attemptFields = {
  startedAt: {
    kind: "instant",
    sent: instant.nullish(),
    title: "Started",
    hint: "Like 2031-05-04 15:42 UTC; left blank, by the clock.",
    group: "times",
    heads: /start|when|time|begin|began|date|day/i,
  },
  workloadId: {
    kind: "workload",
    sent: id,
    title: "Load",
    group: "setting",
    heads: /work ?load|^load|test|stress|program/i,
  },
  /** Null where the chip is set by offset and none was read. */
  clockMhz: {
    ...clock,
    title: "Clock",
    group: "setting",
    heads: /clock|freq|\b[mg]hz\b/i,
  },
  /** Null where the firmware chose it, or the chip is set by offset and none was read. */
  voltageMv: {
    ...voltage,
    title: "Voltage",
    group: "setting",
    heads: /volt|vcore|\bm?v\b/i,
  },
  outcome: {
    kind: "outcome",
    sent: z.enum(outcomes, { error: `An outcome is one of: ${outcomes.join(", ")}.` }),
    title: "Outcome",
    heads: /outcome|result|ended|status|passed|how it/i,
  },
  plannedS: { ...duration, title: "Planned for", group: "setting", heads: /plan|meant/i },
  /** Null only while running. */
  durationS: {
    ...duration,
    title: "It ran for",
    hint: "Minutes, or 90 s, 3:24, 1 h 5 min.",
    group: "setting",
    heads: /duration|length|lasted|ran|run ?time|elapsed|survived|minutes|hours|seconds/i,
  },
  failedFromS: {
    ...duration,
    title: "Failed at the earliest after",
    hint: "Found like this? Say between which times it must have failed.",
    group: "times",
    heads: /failed ?(from|after)|no earlier/i,
  },
  failedToS: {
    ...duration,
    title: "Failed at the latest after",
    group: "times",
    heads: /failed ?(to|before)|no later/i,
  },
  ambientC: { ...temperature, title: "Room", group: "heat", heads: /ambient|room|intake|\bair\b/i },
  loadTempC: {
    ...temperature,
    title: "Load temperature",
    hint: "Once it no longer rises.",
    group: "heat",
    heads: /temp|°|hot ?spot|degrees/i,
  },
  peakTempC: { ...temperature, title: "Hottest", group: "heat", heads: /(peak|max|hottest|highest)/i },
  startTempC: {
    ...temperature,
    title: "Before the load",
    group: "heat",
    heads: /(idle|before).*(temp|°)|temp.*(idle|before|at (the )?start)/i,
  },
  supplyTempC: {
    ...temperature,
    title: "Board's supply stage",
    group: "heat",
    heads: /vrm|supply|phase|regulator|power stage/i,
  },
  loadVoltageMv: {
    ...voltage,
    title: "Voltage under load",
    group: "electric",
    heads: /(load|read|measured|actual|droop).*(volt|vcore)|(volt|vcore).*(load|read|measured)/i,
  },
  voltageReadAt: {
    ...choice(voltageReadPlaces, { chip: "the chip", board: "the board", probe: "a probe" }),
    title: "Voltage read at",
    group: "electric",
    heads: /volt.*read ?at|volt.*(where|place)/i,
  },
  loadLine: { ...words, title: "Load-line", group: "electric", heads: /load-? ?line(?!.*volt)/i },
  currentA: {
    kind: "current",
    sent: currentA.nullish(),
    blank: null,
    title: "Current",
    group: "electric",
    heads: /current|amp/i,
  },
  powerW: {
    kind: "power",
    sent: powerW.nullish(),
    blank: null,
    title: "Power",
    group: "electric",
    heads: /power|watt/i,
  },
  powerAt: {
    ...choice(powerReadPlaces, { chip: "the chip", board: "the board", wall: "the wall" }),
    title: "Power read at",
    group: "electric",
    heads: /power ?at|power.*(where|place|read)/i,
  },
  fanRpm: {
    kind: "fanSpeed",
    sent: fanRpm.nullish(),
    blank: null,
    title: "Fan speed",
    group: "heat",
    heads: /fan|rpm/i,
  },
  fanMode: { ...words, title: "Fan setting", group: "heat", heads: /fan.*(mode|curve|profile)/i },
  effectiveClockMhz: {
    ...clock,
    title: "Effective clock",
    hint: "What it truly ran at, where that differs.",
    group: "conduct",
    heads: /(effective|actual|real|mean).*(clock|freq)/i,
  },
  throttled: {
    kind: "yesNo",
    sent: z.boolean({ error: "throttled is true or false." }).nullish(),
    blank: null,
    title: "Throttled",
    group: "conduct",
    heads: /throttl/i,
  },
  correctedErrors: {
    kind: "number",
    sent: errorCount.nullish(),
    blank: null,
    title: "Corrected errors",
    group: "conduct",
    heads: /corrected|errors/i,
  },
  startKind: {
    ...choice(startKinds, { cold: "cold", warm: "warm", restart: "a restart" }),
    title: "Started from",
    group: "conduct",
    heads: /start ?kind|kind of start|cold.*start/i,
  },
  clockMode: {
    ...choice(clockModes, { fixed: "fixed", boost: "left to boost" }),
    title: "The clock was",
    group: "conduct",
    heads: /clock ?mode|boost/i,
  },
  score: {
    kind: "number",
    sent: z.number().min(-1e12).max(1e12).nullish(),
    blank: null,
    title: "Score",
    group: "conduct",
    heads: /score|points|per (s|min|h)/i,
  },
  note: {
    kind: "note",
    sent: note.nullish(),
    blank: "",
    title: "Note",
    group: "words",
    heads: /note|comment|remark|observation/i,
  },
  tags: {
    kind: "tags",
    sent: z.array(tag).max(20).nullish(),
    blank: [],
    title: "Tags",
    hint: "Separated by commas.",
    group: "words",
    heads: /^tags?$|label/i,
  },
  alsoSet: {
    kind: "alsoSet",
    sent: z.array(alsoSet).max(50).nullish(),
    blank: [],
    title: "Also set",
    hint: "One a line: fabric clock = 2000, harder up",
    group: "words",
    heads: /also ?set/i,
  },
  /** Says that a voltage above the chip's ceiling is meant. */
  aboveCeiling: {
    kind: "confirmation",
    sent: z.boolean().nullish(),
    blank: false,
    title: "Above the ceiling on purpose",
    heads: /ceiling/i,
  },
  ...asSetFields,
  ...memoryFields,
  ...machineFields,
} as const satisfies Readonly<Record<string, FieldDescription>>;

type Fields = typeof attemptFields;
export type AttemptFieldName = keyof Fields;
export const attemptFieldNames = Object.keys(attemptFields) as readonly AttemptFieldName[];

/** The same list for a reader who asks every field the same questions. */
export const fieldDescription: Readonly<Record<AttemptFieldName, FieldDescription>> = attemptFields;

/** What may be sent of an attempt, field by field. */
export const sentFields = Object.fromEntries(
  attemptFieldNames.map((name) => [name, attemptFields[name].sent]),
) as unknown as { readonly [Name in AttemptFieldName]: Fields[Name]["sent"] };

type Said<Field extends FieldDescription> = NonNullable<z.output<Field["sent"]>>;
type Blank<Field> = Field extends { readonly blank: null } ? null : never;
type Whole<Value> = Value extends readonly (infer One)[] ? readonly Readonly<One>[] : Value;

/** What is kept of an attempt, field by field. */
export type KeptFields = {
  readonly [Name in AttemptFieldName]: Whole<Said<Fields[Name]>> | Blank<Fields[Name]>;
};

/** What is kept of an attempt, with every field blank at first. */
export const blankFields = mouldOf(attemptFieldNames);

/** Copies an attempt's own fields, and nothing else, to where there is room for them. */
export function copyFields(
  from: Readonly<Record<AttemptFieldName, unknown>>,
  to: Record<AttemptFieldName, unknown>,
): void {
  for (const name of attemptFieldNames) to[name] = from[name];
}
