import {
  type AttemptFieldName,
  attemptFieldNames,
  type FieldDescription,
  type FieldGroup,
  fieldDescription,
} from "../../bench/things/attemptFields.ts";
import { type FormKind, kinds } from "../kit/attemptKinds.ts";

export type FormField = FieldDescription & Readonly<{ name: AttemptFieldName; kind: FormKind }>;

/** The headings under which a form asks for the fields of an attempt. */
export const groupTitles: Readonly<Record<FieldGroup, string>> = {
  setting: "Setting",
  heat: "Heat",
  electric: "Voltage and power",
  conduct: "What the chip did",
  times: "Times",
  words: "In words",
};
export const fieldGroups = Object.keys(groupTitles) as readonly FieldGroup[];

const described = attemptFieldNames.map((name) => ({ ...fieldDescription[name], name }));
const grouped = new Map(
  fieldGroups.map((group) => [group, described.filter((field) => field.group === group) as FormField[]]),
);
export const fieldsIn = (group: FieldGroup): readonly FormField[] => grouped.get(group) ?? [];

/** Every field of an attempt a person may fill in, group by group. */
export const formFields: readonly FormField[] = fieldGroups.flatMap(fieldsIn);

export const fieldNamed = (name: string): FormField | undefined =>
  formFields.find((field) => field.name === name);

/** What a field says, for a list of facts. */
export const fieldWords = ({ choices = {}, kind }: FormField, value: unknown): string =>
  choices[String(value)] ?? kinds[kind].words(value);
