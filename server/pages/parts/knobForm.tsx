import { isAutomatic, knobValueWords } from "../../bench/things/asSet.ts";
import { type Knob, knobBelongings, knobDirections } from "../../bench/things/knob.ts";
import { Act, Button } from "../../html/act.tsx";
import { Fold, PhoneFold } from "../../html/entry.tsx";
import { ChoiceField, Fields, NumberField, TextField } from "../../html/field.tsx";
import { type FormState, type Typed, textTyped } from "../kit/forms.ts";
import { quantityTyped } from "../kit/quantityTyped.ts";

const mostRows = 64;

/** How many rows the form shows: those typed, and one more where it was asked for. */
function knobRowsOf(typed: Typed): number {
  const count = Number(typed.knobRows ?? 0);
  const known = Number.isInteger(count) ? Math.min(Math.max(count, 0), mostRows) : 0;
  return typed.act === "another" ? Math.min(known + 1, mostRows) : known;
}

const places = ["id", "name", "unit", "step", "harder", "belongs", "usual", "choices", "ceiling"] as const;
const fieldOf = (place: (typeof places)[number], i: number): string =>
  `knob${place.charAt(0).toUpperCase()}${place.slice(1)}-${i}`;

/** A chip's knobs in its form: one row for each, named by place. */
export function knobRowsWritten(knobs: readonly Knob[]): Typed {
  const rows = knobs.flatMap((knob, i) =>
    Object.entries({
      [fieldOf("id", i)]: knob.id,
      [fieldOf("name", i)]: knob.name,
      [fieldOf("unit", i)]: knob.unit,
      [fieldOf("step", i)]: knob.step === null ? "" : String(knob.step),
      [fieldOf("harder", i)]: knob.harder,
      [fieldOf("belongs", i)]: knob.belongs,
      [fieldOf("usual", i)]: isAutomatic(knob.usual) ? "" : knobValueWords(knob.usual),
      [fieldOf("choices", i)]: knob.choices.join(", "),
      [fieldOf("ceiling", i)]: knob.ceiling === null ? "" : String(knob.ceiling),
    }),
  );
  return { knobRows: String(knobs.length), ...Object.fromEntries(rows) };
}

/** The knobs as typed; a row without a name is left out. */
export function knobRowsTyped(typed: Typed): unknown[] {
  const rows = Array.from({ length: knobRowsOf(typed) }, (_, i) => i);
  const named = rows.filter((i) => textTyped(typed[fieldOf("name", i)]) !== null);
  const taken = new Set(named.flatMap((i) => textTyped(typed[fieldOf("id", i)]) ?? []));
  return named.map((i) => {
    const name = textTyped(typed[fieldOf("name", i)]) ?? "";
    return {
      id: textTyped(typed[fieldOf("id", i)]) ?? idFor(name, taken),
      name,
      unit: textTyped(typed[fieldOf("unit", i)]),
      step: numberTyped(typed[fieldOf("step", i)]),
      harder: typed[fieldOf("harder", i)],
      belongs: typed[fieldOf("belongs", i)],
      usual: valueTyped(typed[fieldOf("usual", i)]),
      choices: (typed[fieldOf("choices", i)] ?? "").split(",").flatMap((word) => textTyped(word) ?? []),
      ceiling: numberTyped(typed[fieldOf("ceiling", i)]),
    };
  });
}

const numberTyped = (typed: string | undefined) => quantityTyped(typed, { "": 1 });

function valueTyped(typed: string | undefined): number | string | null {
  const number = numberTyped(typed);
  return number === null || Number.isNaN(number) ? textTyped(typed) : number;
}

/** "Power limit" becomes power-limit; a second one power-limit-2. An id stays when the name changes. */
function idFor(name: string, taken: Set<string>): string {
  const plain =
    name
      .toLowerCase()
      .replace(/[^a-z0-9]+/g, "-")
      .replace(/^-|-$/g, "")
      .slice(0, 36) || "knob";
  let id = plain;
  for (let n = 2; taken.has(id); n++) id = `${plain}-${n}`;
  taken.add(id);
  return id;
}

const directionTitles = {
  up: "more",
  down: "less",
  window: "further from the usual, either way",
  none: "cannot be said",
} as const;
const belongingTitles = {
  setting: "part of the setting",
  context: "its surroundings, such as a power limit",
} as const;

/** What else can be set on a chip; each shows on the dial once it was used. */
export const KnobFields = ({ form }: { form: FormState }) => {
  const rows = knobRowsOf(form.typed);
  return (
    <Fold title="Knobs" open={rows > 0}>
      <p class="hint">
        What else you set: timings, further voltages, a power limit. Timings of a memory are read as one line,
        in this order.
      </p>
      <input type="hidden" name="knobRows" value={String(rows)} />
      {Array.from({ length: rows }, (_, i) => (
        <KnobRow key={i} i={i} form={form} />
      ))}
      {rows < mostRows ? (
        <Act>
          <Button name="act" value="another">
            Add a knob
          </Button>
        </Act>
      ) : null}
    </Fold>
  );
};

const KnobRow = ({ i, form }: { i: number; form: FormState }) => {
  const of = (place: (typeof places)[number]) => ({
    name: fieldOf(place, i),
    value: form.typed[fieldOf(place, i)],
    error: form.refused?.fields[fieldOf(place, i)],
  });
  const name = form.typed[fieldOf("name", i)];
  const fields = (
    <Fields legend={name || "A new knob"}>
      <input type="hidden" name={fieldOf("id", i)} value={form.typed[fieldOf("id", i)] ?? ""} />
      <TextField {...of("name")} label="Name" hint="Left blank, this knob is not kept." />
      <TextField {...of("unit")} label="Unit" />
      <NumberField {...of("step")} label="Step" />
      <ChoiceField
        {...of("harder")}
        label="Harder to hold is"
        choices={knobDirections.map((value) => ({ value, title: directionTitles[value] }))}
      />
      <ChoiceField
        {...of("belongs")}
        label="It is"
        choices={knobBelongings.map((value) => ({ value, title: belongingTitles[value] }))}
      />
      <TextField
        {...of("usual")}
        label="Usual value"
        hint="Where attempts so far had it. Left blank: automatic."
      />
      <TextField {...of("choices")} label="Choices" hint="Where it is one of a few: level 1, level 2." />
      <NumberField {...of("ceiling")} label="Ceiling" hint="Above this you are asked to confirm." />
    </Fields>
  );
  return name ? <PhoneFold title={name}>{fields}</PhoneFold> : fields;
};
