import type { ComponentChildren } from "preact";
import { Key } from "./act.tsx";
import { fieldId } from "./field.tsx";

export const Dials = ({ children }: { children: ComponentChildren }) => (
  <div class="dials" data-dials>
    {children}
  </div>
);

type Props = Readonly<{
  name: string;
  label: string;
  /** Said small beneath the label. */
  under?: string;
  unit: string;
  value: string;
  /** How far one press goes, in the field's own unit. */
  step: number;
  /** Where the grid of steps counts from. */
  origin?: number;
  min?: number;
  max?: number;
  /** Decimals shown at least. */
  decimals?: number;
  error?: string | undefined;
  /** Keys that turn it down and up. */
  letters?: readonly [string, string];
  /** The key that leads into it. */
  letter?: string;
  more?: Readonly<Record<string, string | boolean | number | undefined>>;
}>;

const Turn = ({ dial, by, sign, words }: { dial: Props; by: -1 | 1; sign: string; words: string }) => {
  const letter = dial.letters?.[by < 0 ? 0 : 1];
  return (
    <button
      class="turn needs-script"
      type="button"
      // The arrow keys in the field turn it too, so that Tab leads from field to field.
      tabIndex={-1}
      data-turn={by}
      data-key={letter}
      aria-keyshortcuts={letter}
      aria-label={`${dial.label} ${words}`}
      title={letter ? `Key ${letter}` : undefined}
    >
      {sign}
    </button>
  );
};

/** A number to be turned in steps: a plain field, to which the script adds − and +. */
export const Dial = (dial: Props) => {
  const id = fieldId(dial.name);
  return (
    <div
      class={dial.error ? "dial wrong" : "dial"}
      data-dial
      data-step={dial.step}
      data-origin={dial.origin ?? 0}
      data-min={dial.min}
      data-max={dial.max}
      data-decimals={dial.decimals ?? 0}
    >
      <label for={id}>
        {dial.label}
        <Into letter={dial.letter} />
        <Under words={dial.under} />
      </label>
      <div class="set">
        <Turn dial={dial} by={-1} sign="−" words="down" />
        <span class="value">
          <input
            id={id}
            name={dial.name}
            type="text"
            inputmode="decimal"
            autocomplete="off"
            size={Math.max(4, dial.value.length)}
            value={dial.value}
            data-key={dial.letter}
            aria-keyshortcuts={dial.letter}
            aria-invalid={dial.error ? "true" : undefined}
            aria-describedby={`${id}-unit${dial.error ? ` ${id}-error` : ""}`}
            {...dial.more}
          />
          <span class="unit" id={`${id}-unit`}>
            {dial.unit}
          </span>
        </span>
        <Turn dial={dial} by={1} sign="+" words="up" />
      </div>
      <Wrong name={dial.name} error={dial.error} />
    </div>
  );
};

const Into = ({ letter }: { letter: string | undefined }) =>
  letter === undefined ? null : (
    <>
      {" "}
      <Key letter={letter} />
    </>
  );

const Under = ({ words }: { words: string | undefined }) =>
  words === undefined ? null : (
    <>
      {" "}
      <small>{words}</small>
    </>
  );

type FramedProps = Readonly<{
  name: string;
  label: string;
  letter?: string | undefined;
  under?: string | undefined;
  error?: string | undefined;
  children: ComponentChildren;
}>;

/** The frame of every dial that is not turned: its label, its field, what is wrong with it. */
const Framed = ({ name, label, letter, under, error, children }: FramedProps) => (
  <div class={error ? "dial wrong" : "dial"}>
    <label for={fieldId(name)}>
      {label}
      <Into letter={letter} />
      <Under words={under} />
    </label>
    <div class="set">{children}</div>
    <Wrong name={name} error={error} />
  </div>
);

const wrongId = (name: string): string => `${fieldId(name)}-error`;

const Wrong = ({ name, error }: Pick<FramedProps, "name" | "error">) =>
  error ? (
    <p class="error" id={wrongId(name)}>
      {error}
    </p>
  ) : null;

/** How a field says that it is wrong, and where it says why. */
const asWrong = ({ name, error }: Pick<FramedProps, "name" | "error">) =>
  error ? ({ "aria-invalid": "true", "aria-describedby": wrongId(name) } as const) : {};

type TextDialProps = Readonly<{
  name: string;
  label: string;
  under?: string;
  value: string;
  error?: string | undefined;
}>;

/** The same shape for a short line of words. */
export const TextDial = (dial: TextDialProps) => (
  <Framed {...dial}>
    <span class="value">
      <input
        id={fieldId(dial.name)}
        name={dial.name}
        type="text"
        autocomplete="off"
        size={Math.max(8, dial.value.length)}
        value={dial.value}
        {...asWrong(dial)}
      />
    </span>
  </Framed>
);

type ChoiceDialProps = Readonly<{
  name: string;
  label: string;
  /** The key that leads into it. */
  letter?: string;
  value: string | undefined;
  choices: readonly Readonly<{ value: string; title: string }>[];
  error?: string | undefined;
}>;

/** The same shape for one of several. */
export const ChoiceDial = (dial: ChoiceDialProps) => (
  <Framed {...dial}>
    <select
      id={fieldId(dial.name)}
      name={dial.name}
      data-key={dial.letter}
      aria-keyshortcuts={dial.letter}
      {...asWrong(dial)}
    >
      {dial.choices.map(({ value, title }) => (
        <option key={value} value={value} selected={value === dial.value}>
          {title}
        </option>
      ))}
    </select>
  </Framed>
);
