import { Fold } from "../../html/entry.tsx";
import {
  type Choice,
  ChoiceField,
  Fields,
  InstantField,
  NoteField,
  NumberField,
  TextField,
} from "../../html/field.tsx";
import { type FormKind, kinds } from "./attemptKinds.ts";
import { useClockUnit } from "./clockUnit.ts";
import type { FormState, Typed } from "./forms.ts";

/** One field of a form about a thing of the journal. */
export type ThingField = Readonly<{
  name: string;
  label: string;
  kind: FormKind;
  unit?: string;
  hint?: string;
  required?: boolean;
  /** What it comes to where it is left blank. */
  usual?: string;
  choices?: readonly Choice[];
  none?: string;
  /** Kept in a fold until it is used. */
  rarer?: boolean;
}>;

/** What was typed, as the journal would take it; blank is null. */
export const thingTyped = (fields: readonly ThingField[], typed: Typed): Record<string, unknown> =>
  Object.fromEntries(fields.map(({ name, kind }) => [name, kinds[kind].read(typed[name])]));

/** A thing as it stands in its form. */
export const thingWritten = (fields: readonly ThingField[], thing: object): Typed =>
  Object.fromEntries(
    fields.map(({ name, kind }) => [name, kinds[kind].write((thing as Record<string, unknown>)[name])]),
  );

export const ThingInput = ({ field, form }: { field: ThingField; form: FormState }) => {
  const clockUnit = useClockUnit();
  const { name, label, hint, required, usual } = field;
  const common = {
    name,
    label,
    value: form.typed[name],
    unit: field.unit ?? (field.kind === "clock" ? clockUnit : kinds[field.kind].unit),
    hint: [hint, usual === undefined ? "" : `Left blank: ${usual}.`].filter(Boolean).join(" ") || undefined,
    error: form.refused?.fields[name],
    required: required ?? false,
  };
  if (field.choices) return <ChoiceField {...common} choices={choicesOf(field, form)} {...noneOf(field)} />;
  if (field.kind === "note" || field.kind === "temperatures") return <NoteField {...common} />;
  if (field.kind === "instant") return <InstantField {...common} />;
  if (field.kind === "text") return <TextField {...common} />;
  return <NumberField {...common} />;
};

/** What a blank stands for is offered once, unless it is what was typed. */
const choicesOf = ({ name, choices = [], none }: ThingField, { typed }: FormState) =>
  choices.filter(({ value, title }) => title !== none || value === typed[name]);

const noneOf = ({ none, required }: ThingField) =>
  none !== undefined ? { none } : required ? {} : { none: "not said" };

type Props = Readonly<{ fields: readonly ThingField[]; form: FormState; legend?: string; more?: string }>;

/** The fields of a form; the rarer ones in a fold that stands open once one of them is used. */
export const ThingFields = ({ fields, form, legend, more = "More about it" }: Props) => {
  const rarer = fields.filter((field) => field.rarer);
  const used = rarer.some(({ name }) => form.typed[name] || form.refused?.fields[name]);
  return (
    <>
      {rarer.length === fields.length ? null : (
        <Fields {...(legend === undefined ? {} : { legend })}>
          {fields
            .filter((field) => !field.rarer)
            .map((field) => (
              <ThingInput key={field.name} field={field} form={form} />
            ))}
        </Fields>
      )}
      {rarer.length > 0 ? (
        <Fold title={more} open={used} narrow>
          <Fields>
            {rarer.map((field) => (
              <ThingInput key={field.name} field={field} form={form} />
            ))}
          </Fields>
        </Fold>
      ) : null}
    </>
  );
};
