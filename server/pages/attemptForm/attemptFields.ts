import type { AttemptDraft } from "../../bench/things/attempt.ts";
import type { Choice } from "../../html/field.tsx";
import { type KindName, kinds } from "../kit/attemptKinds.ts";

export type FieldName = Exclude<keyof AttemptDraft, "outcome" | "aboveCeiling">;
export type AttemptField = Readonly<{
  name: FieldName;
  label: string;
  kind: KindName;
  choices?: readonly Choice[];
  hint?: string;
}>;

const choice = (value: string, title: string): Choice => ({ value, title });

const setting: readonly AttemptField[] = [
  { name: "workloadId", label: "Load", kind: "choice" },
  { name: "clockMhz", label: "Clock", kind: "clock" },
  { name: "voltageMv", label: "Voltage", kind: "voltage" },
  { name: "plannedS", label: "Planned for", kind: "duration" },
  { name: "durationS", label: "It ran for", kind: "duration", hint: "Minutes, or 90 s, 3:24, 1 h 5 min." },
];

const heat: readonly AttemptField[] = [
  { name: "ambientC", label: "Room", kind: "temperature" },
  { name: "loadTempC", label: "Load temperature", kind: "temperature", hint: "Once it no longer rises." },
  { name: "peakTempC", label: "Hottest", kind: "temperature" },
  { name: "startTempC", label: "Before the load", kind: "temperature" },
  { name: "supplyTempC", label: "Board's supply stage", kind: "temperature" },
  { name: "fanRpm", label: "Fan speed", kind: "fanSpeed" },
  { name: "fanMode", label: "Fan setting", kind: "text" },
];

const electric: readonly AttemptField[] = [
  { name: "loadVoltageMv", label: "Voltage under load", kind: "voltage" },
  {
    name: "voltageReadAt",
    label: "Voltage read at",
    kind: "choice",
    choices: [choice("chip", "the chip"), choice("board", "the board"), choice("probe", "a probe")],
  },
  { name: "loadLine", label: "Load-line", kind: "text" },
  { name: "currentA", label: "Current", kind: "current" },
  { name: "powerW", label: "Power", kind: "power" },
  {
    name: "powerAt",
    label: "Power read at",
    kind: "choice",
    choices: [choice("chip", "the chip"), choice("board", "the board"), choice("wall", "the wall")],
  },
];

const conduct: readonly AttemptField[] = [
  {
    name: "effectiveClockMhz",
    label: "Effective clock",
    kind: "clock",
    hint: "What it truly ran at, where that differs.",
  },
  {
    name: "throttled",
    label: "Throttled",
    kind: "yesNo",
    choices: [choice("yes", "yes"), choice("no", "no")],
  },
  { name: "correctedErrors", label: "Corrected errors", kind: "count" },
  {
    name: "startKind",
    label: "Started from",
    kind: "choice",
    choices: [choice("cold", "cold"), choice("warm", "warm"), choice("restart", "a restart")],
  },
  {
    name: "clockMode",
    label: "The clock was",
    kind: "choice",
    choices: [choice("fixed", "fixed"), choice("boost", "left to boost")],
  },
  { name: "score", label: "Score", kind: "count" },
];

const times: readonly AttemptField[] = [
  {
    name: "startedAt",
    label: "Started",
    kind: "instant",
    hint: "Like 2031-05-04 15:42 UTC; left blank, by the clock.",
  },
  {
    name: "failedFromS",
    label: "Failed at the earliest after",
    kind: "duration",
    hint: "Found like this? Say between which times it must have failed.",
  },
  { name: "failedToS", label: "Failed at the latest after", kind: "duration" },
];

const words: readonly AttemptField[] = [
  { name: "note", label: "Note", kind: "note" },
  { name: "tags", label: "Tags", kind: "tags", hint: "Separated by commas." },
  { name: "alsoSet", label: "Also set", kind: "alsoSet", hint: "One a line: fabric clock = 2000, harder up" },
];

/** Every field of an attempt a person may fill in, in groups. */
export const fieldGroups = { setting, heat, electric, conduct, times, words } as const;
export type FieldGroup = keyof typeof fieldGroups;

export const groupTitles: Readonly<Record<FieldGroup, string>> = {
  setting: "Setting",
  heat: "Heat",
  electric: "Voltage and power",
  conduct: "What the chip did",
  times: "Times",
  words: "In words",
};

export const attemptFields: readonly AttemptField[] = Object.values(fieldGroups).flat();

export const fieldNamed = (name: string): AttemptField | undefined =>
  attemptFields.find((field) => field.name === name);

/** What a field says, for a list of facts. */
export function fieldWords(field: AttemptField, value: unknown): string {
  const chosen = field.choices?.find((one) => one.value === value);
  return chosen ? chosen.title : kinds[field.kind].words(value);
}
