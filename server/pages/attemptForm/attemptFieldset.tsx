import type { FieldGroup } from "../../bench/things/fieldKinds.ts";
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
import { useClockUnit } from "../kit/clockUnit.ts";
import type { FormState } from "../kit/forms.ts";
import { type FormField, fieldsOfGroup, groupTitles } from "./formFields.ts";

type Props = Readonly<{
  field: FormField;
  form: FormState;
  workloads?: readonly Workload[];
  scope?: string;
}>;

export const workloadChoices = (workloads: readonly Workload[]): readonly Choice[] =>
  workloads.map(({ id, name }) => ({ value: id, title: name }));

const choicesOf = ({ choices = {} }: FormField): readonly Choice[] =>
  Object.entries(choices).map(([value, title]) => ({ value, title }));
const yesOrNo: readonly Choice[] = ["yes", "no"].map((word) => ({ value: word, title: word }));

export const AttemptFieldInput = ({ field, form, workloads = [], scope }: Props) => {
  const clockUnit = useClockUnit();
  const common = {
    name: field.name,
    label: field.title,
    value: form.typed[field.name],
    unit: field.kind === "clock" ? clockUnit : kinds[field.kind].unit,
    hint: field.hint,
    error: form.refused?.fields[field.name],
    ...(scope === undefined ? {} : { scope }),
  };
  switch (field.kind) {
    case "workload":
      return <ChoiceField {...common} required choices={workloadChoices(workloads)} />;
    case "choice":
      return <ChoiceField {...common} choices={choicesOf(field)} none="not said" />;
    case "yesNo":
      return <ChoiceField {...common} choices={yesOrNo} none="not said" />;
    case "note":
    case "alsoSet":
    case "byPart":
    case "temperatures":
    case "counts":
    case "knobs":
    case "errors":
      return <NoteField {...common} rows={field.kind === "note" ? 3 : 2} />;
    case "text":
    case "tags":
    case "starts":
      return <TextField {...common} />;
    case "instant":
      return <InstantField {...common} />;
    default:
      return <NumberField {...common} required={!field.sent.safeParse(undefined).success} />;
  }
};

type GroupProps = Readonly<{
  group: FieldGroup;
  form: FormState;
  workloads?: readonly Workload[];
  scope?: string;
  /** Asked elsewhere in the same form. */
  without?: ReadonlySet<string> | undefined;
}>;

/** One group of an attempt's fields. */
export const AttemptFieldset = ({ group, form, without, ...rest }: GroupProps) => (
  <Fields legend={groupTitles[group]}>
    {fieldsOfGroup(group)
      .filter(({ name }) => !without?.has(name))
      .map((field) => (
        <AttemptFieldInput key={field.name} field={field} form={form} {...rest} />
      ))}
  </Fields>
);

/** Whether a group holds something typed or refused, and so should stand open. */
export const isGroupUsed = (group: FieldGroup, { typed, refused }: FormState): boolean =>
  fieldsOfGroup(group).some(({ name }) => (typed[name] ?? "") !== "" || refused?.fields[name] !== undefined);
