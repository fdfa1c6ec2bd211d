import type { ComponentChildren } from "preact";

/** What every field may carry. `value` is the text as typed, so a refused form loses nothing. */
type Common = Readonly<{
  name: string;
  label: string;
  value?: string | undefined;
  unit?: string | undefined;
  hint?: ComponentChildren;
  error?: string | undefined;
  required?: boolean;
  /** Set where one page holds two forms with the same field. */
  scope?: string;
  more?: Readonly<Record<string, string | boolean | number | undefined>>;
}>;

export const fieldId = (name: string, scope?: string): string =>
  scope ? `field-${scope}-${name}` : `field-${name}`;

const described = (field: Common): string | undefined => {
  const id = fieldId(field.name, field.scope);
  const parts = [field.error ? `${id}-error` : "", field.hint ? `${id}-hint` : ""].filter(Boolean);
  return parts.length > 0 ? parts.join(" ") : undefined;
};

const wiring = (field: Common) => ({
  id: fieldId(field.name, field.scope),
  name: field.name,
  required: field.required,
  "aria-invalid": field.error ? ("true" as const) : undefined,
  "aria-describedby": described(field),
  ...field.more,
});

const Label = ({ field }: { field: Common }) => (
  <label for={fieldId(field.name, field.scope)}>
    {field.label}
    {field.unit ? <span class="unit"> {field.unit}</span> : null}
    {field.required ? <span class="needed">needed</span> : null}
  </label>
);

const Words = ({ field }: { field: Common }) => {
  const id = fieldId(field.name, field.scope);
  return (
    <>
      {field.error ? (
        <p class="error" id={`${id}-error`}>
          {field.error}
        </p>
      ) : null}
      {field.hint ? (
        <p class="hint" id={`${id}-hint`}>
          {field.hint}
        </p>
      ) : null}
    </>
  );
};

const Field = ({ field, children }: { field: Common; children: ComponentChildren }) => (
  <div class={field.error ? "field wrong" : "field"}>
    <Label field={field} />
    {children}
    <Words field={field} />
  </div>
);

type TextProps = Common &
  Readonly<{
    type?: "text" | "search" | "password" | "datetime-local" | "date";
    maxlength?: number;
    autocomplete?: string;
    list?: string;
  }>;

export const TextField = ({ type = "text", maxlength, autocomplete = "off", list, ...field }: TextProps) => (
  <Field field={field}>
    <input
      {...wiring(field)}
      type={type}
      value={field.value ?? ""}
      maxlength={maxlength}
      autocomplete={autocomplete}
      list={list}
    />
  </Field>
);

/** A time typed by hand: in UTC, or as the wall's clock says where script runs; either way the field says which. */
export const InstantField = (field: Common) => (
  <TextField {...field} more={{ ...field.more, "data-instant": true }} />
);

/** A plain text input with a number pad, so that a comma or a unit typed by hand comes back as typed. */
export const NumberField = (field: Common) => (
  <Field field={field}>
    <input
      {...wiring(field)}
      class="number"
      type="text"
      inputmode="decimal"
      value={field.value ?? ""}
      autocomplete="off"
    />
  </Field>
);

export const NoteField = ({
  rows = 3,
  keep,
  ...field
}: Common & Readonly<{ rows?: number; keep?: string }>) => (
  <Field field={field}>
    <textarea {...wiring(field)} rows={rows} data-keep={keep}>
      {field.value ?? ""}
    </textarea>
  </Field>
);

export type Choice = Readonly<{ value: string; title: string; group?: string }>;

const Options = ({ choices, value }: { choices: readonly Choice[]; value: string | undefined }) => (
  <>
    {choices.map((choice) => (
      <option key={choice.value} value={choice.value} selected={choice.value === value}>
        {choice.title}
      </option>
    ))}
  </>
);

type ChoiceProps = Common & Readonly<{ choices: readonly Choice[]; none?: string }>;

/** `none` words the empty choice. */
export const ChoiceField = ({ choices, none, ...field }: ChoiceProps) => (
  <Field field={field}>
    <select {...wiring(field)}>
      {none === undefined ? null : <option value="">{none}</option>}
      <Options choices={choices} value={field.value} />
    </select>
  </Field>
);

export const CheckField = ({ checked, ...field }: Common & Readonly<{ checked?: boolean }>) => (
  <div class={field.error ? "field check wrong" : "field check"}>
    <input {...wiring(field)} type="checkbox" value={field.value ?? "true"} checked={checked} />
    <label for={fieldId(field.name, field.scope)}>{field.label}</label>
    <Words field={field} />
  </div>
);

export const FileField = ({ accept, ...field }: Common & Readonly<{ accept?: string }>) => (
  <Field field={field}>
    <input {...wiring(field)} type="file" accept={accept} />
  </Field>
);

/** Fields that belong together, side by side where there is room. */
export const Fields = ({ legend, children }: { legend?: string; children: ComponentChildren }) => (
  <fieldset class="fields">
    {legend ? <legend>{legend}</legend> : null}
    {children}
  </fieldset>
);
