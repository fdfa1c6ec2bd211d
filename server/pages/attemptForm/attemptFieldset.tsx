import type { Workload } from "../../bench/things/workload.ts";
import {
  type Choice,
  ChoiceField,
  Fields,
  InstantField,
  NoteField,
  NumberField,
  TextField,
} from "../../html/field.tsx";
import { kinds } from "../kit/attemptKinds.ts";
import type { FormState } from "../kit/forms.ts";
import { type AttemptField, type FieldGroup, fieldGroups, groupTitles } from "./attemptFields.ts";

type Props = Readonly<{
  field: AttemptField;
  form: FormState;
  workloads?: readonly Workload[];
  scope?: string;
}>;

export const workloadChoices = (workloads: readonly Workload[]): readonly Choice[] =>
  workloads.map(({ id, name }) => ({ value: id, title: name }));

export const AttemptFieldInput = ({ field, form, workloads = [], scope }: Props) => {
  const common = {
    name: field.name,
    label: field.label,
    value: form.typed[field.name],
    unit: "unit" in kinds[field.kind] ? (kinds[field.kind] as { unit: string }).unit || undefined : undefined,
    hint: field.hint,
    error: form.refused?.fields[field.name],
    ...(scope === undefined ? {} : { scope }),
  };
  if (field.name === "workloadId")
    return <ChoiceField {...common} required choices={workloadChoices(workloads)} />;
  switch (field.kind) {
    case "choice":
    case "yesNo":
      return <ChoiceField {...common} choices={field.choices ?? []} none="not said" />;
    case "note":
    case "alsoSet":
      return <NoteField {...common} rows={field.kind === "note" ? 3 : 2} />;
    case "text":
    case "tags":
      return <TextField {...common} />;
    case "instant":
      return <InstantField {...common} />;
    default:
      return <NumberField {...common} required={field.name === "clockMhz" || field.name === "voltageMv"} />;
  }
};

type GroupProps = Readonly<{
  group: FieldGroup;
  form: FormState;
  workloads?: readonly Workload[];
  scope?: string;
}>;

/** One group of an attempt's fields. */
export const AttemptFieldset = ({ group, form, ...rest }: GroupProps) => (
  <Fields legend={groupTitles[group]}>
    {fieldGroups[group].map((field) => (
      <AttemptFieldInput key={field.name} field={field} form={form} {...rest} />
    ))}
  </Fields>
);

/** Whether a group holds something typed or refused, and so should stand open. */
export const isGroupUsed = (group: FieldGroup, { typed, refused }: FormState): boolean =>
  fieldGroups[group].some(({ name }) => (typed[name] ?? "") !== "" || refused?.fields[name] !== undefined);
