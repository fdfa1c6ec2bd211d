import type { Knob } from "../../bench/things/knob.ts";
import { type Choice, ChoiceField, NumberField, TextField } from "../../html/field.tsx";
import type { FormState } from "./forms.ts";
import { knobField, timingsField } from "./knobTyped.ts";

export const knobChoices = ({ choices }: Knob): readonly Choice[] =>
  [...choices, "auto"].map((one) => ({ value: one, title: one }));

/** A knob asked for by itself; blank, it stood as usual. */
export const KnobInput = ({ knob, form }: { knob: Knob; form: FormState }) => {
  const name = knobField(knob.id);
  const error = form.refused?.fields[name];
  const common = { name, label: knob.name, value: form.typed[name], error };
  return knob.choices.length > 0 ? (
    <ChoiceField {...common} choices={knobChoices(knob)} none="as usual" />
  ) : (
    <NumberField {...common} {...(knob.unit ? { unit: knob.unit } : {})} />
  );
};

export const TimingsInput = ({ timings, form }: { timings: readonly Knob[]; form: FormState }) => (
  <TextField
    name={timingsField}
    label="Timings"
    hint={`As one line, such as 30-38-38-76: ${timings.map(({ name }) => name).join(", ")}.`}
    value={form.typed[timingsField]}
    error={form.refused?.fields[timingsField]}
  />
);
