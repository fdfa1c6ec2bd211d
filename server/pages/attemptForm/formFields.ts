import { type KnobValue, knobValueWords } from "../../bench/things/asSet.ts";
import {
  type AttemptFieldName,
  attemptFieldNames,
  fieldDescription,
} from "../../bench/things/attemptFields.ts";
import type { Chip } from "../../bench/things/chip.ts";
import type { FieldDescription, FieldGroup } from "../../bench/things/fieldKinds.ts";
import { offsetWords } from "../../bench/things/setting.ts";
import { formatNumber } from "../../html/format.ts";
import { type FormKind, kinds } from "../kit/attemptKinds.ts";

export type FormField = FieldDescription & Readonly<{ name: AttemptFieldName; kind: FormKind }>;

/** The headings under which a form asks for the fields of an attempt. */
export const groupTitles: Readonly<Record<FieldGroup, string>> = {
  setting: "Setting",
  asSet: "As the firmware has it",
  heat: "Heat",
  electric: "Voltage and power",
  conduct: "What the chip did",
  memory: "Memory",
  times: "Times",
  words: "In words",
};
export const fieldGroups = Object.keys(groupTitles) as readonly FieldGroup[];

const described = attemptFieldNames.map((name) => ({ ...fieldDescription[name], name }));
const grouped = new Map(
  fieldGroups.map((group) => [group, described.filter((field) => field.group === group) as FormField[]]),
);
export const fieldsOfGroup = (group: FieldGroup): readonly FormField[] => grouped.get(group) ?? [];

/** Every field of an attempt a person may fill in, group by group. */
export const formFields: readonly FormField[] = fieldGroups.flatMap(fieldsOfGroup);

export const fieldNamed = (name: string): FormField | undefined =>
  formFields.find((field) => field.name === name);

/** What a field says, for a list of facts. */
export const fieldWords = ({ choices = {}, kind }: FormField, value: unknown, chip?: Chip): string =>
  choices[String(value)] ?? settingFieldWords(kind, value, chip) ?? kinds[kind].words(value);

/** Clocks and offsets in the unit of their chip, knobs by their names; null for all else. */
function settingFieldWords(kind: FormKind, value: unknown, chip: Chip | undefined): string | null {
  if (chip === undefined || value == null) return null;
  if (kind === "clock") return `${formatNumber(Number(value))}\u00a0${chip.clockUnit}`;
  if (kind === "offset") return offsetWords(Number(value), chip);
  if (kind === "byPart")
    return listed(value, (part, offset) => `${part} ${offsetWords(Number(offset), chip)}`);
  if (kind !== "knobs") return null;
  return listed(value, (id, said) => {
    const knob = chip.knobs.find((one) => one.id === id);
    const unit = knob?.unit && typeof said === "number" ? ` ${knob.unit}` : "";
    return `${knob?.name ?? id} ${knobValueWords(said as KnobValue)}${unit}`;
  });
}

const listed = (value: unknown, words: (name: string, said: unknown) => string): string =>
  Object.entries(value as Readonly<Record<string, unknown>>)
    .map(([name, said]) => words(name, said))
    .join("; ");
