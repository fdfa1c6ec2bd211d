import type { Chip } from "../../bench/things/chip.ts";
import type { Knob } from "../../bench/things/knob.ts";
import { knobsBeside, timingKnobs } from "../../bench/things/timings.ts";
import { withinSentence } from "../../bench/things/words.ts";
import type { Workload } from "../../bench/things/workload.ts";
import { ChoiceDial, Dial, Dials, TextDial } from "../../html/dial.tsx";
import { Fold } from "../../html/entry.tsx";
import { Fields, NoteField } from "../../html/field.tsx";
import { workloadChoices } from "../attemptForm/attemptFieldset.tsx";
import type { FormState, Typed } from "../kit/forms.ts";
import { KnobInput, knobChoices, TimingsInput } from "../kit/knobInput.tsx";
import { knobField, timingsField } from "../kit/knobTyped.ts";

type Props = Readonly<{
  chip: Chip;
  form: FormState;
  workloads: readonly Workload[];
  /** How the last attempt had it, in the words of the form. */
  last: Typed;
}>;

const wrong = (form: FormState, name: string) => form.refused?.fields[name];
const value = (form: FormState, name: string) => form.typed[name] ?? "";

/** What is set, each by a number to turn: the offset or clock and voltage, the knobs in use, how long, under what. */
export const SettingDials = ({ chip, form, workloads, last }: Props) => (
  <Dials>
    {chip.axis === "offset" ? <OffsetDials chip={chip} form={form} last={last} /> : null}
    {chip.axis === "clock" ? <ClockDials chip={chip} form={form} /> : null}
    {knobsBeside(chip)
      .filter(({ id }) => last[knobField(id)] !== undefined)
      .map((knob) => (
        <KnobDial key={knob.id} knob={knob} form={form} last={last} />
      ))}
    {last[timingsField] === undefined ? null : <TimingsDial chip={chip} form={form} last={last} />}
    <Dial
      name="plannedS"
      label="For"
      unit="min"
      letter="m"
      value={value(form, "plannedS")}
      step={5}
      min={0}
      max={43_200}
      error={wrong(form, "plannedS")}
    />
    <ChoiceDial
      name="workloadId"
      label="Load"
      letter="l"
      value={form.typed.workloadId}
      choices={workloadChoices(workloads)}
      error={wrong(form, "workloadId")}
    />
  </Dials>
);

const ClockDials = ({ chip, form }: Pick<Props, "chip" | "form">) => (
  <>
    {chip.clockGrid.length > 0 ? (
      <ChoiceDial
        name="clockMhz"
        label={chip.clockUnit === "MHz" ? "Clock" : "Speed"}
        letter="c"
        value={form.typed.clockMhz}
        choices={chip.clockGrid.map((rate) => ({ value: String(rate), title: `${rate} ${chip.clockUnit}` }))}
        error={wrong(form, "clockMhz")}
      />
    ) : (
      <Dial
        name="clockMhz"
        label={chip.clockUnit === "MHz" ? "Clock" : "Speed"}
        unit={chip.clockUnit}
        value={value(form, "clockMhz")}
        step={chip.clockStepMhz}
        origin={chip.stockClockMhz ?? 0}
        min={1}
        max={20_000}
        letter="c"
        letters={["-", "+"]}
        error={wrong(form, "clockMhz")}
      />
    )}
    <Dial
      name="voltageMv"
      label={chip.voltageName ?? "Voltage"}
      {...(chip.automaticVoltage ? { under: "blank: automatic" } : {})}
      unit="V"
      value={value(form, "voltageMv")}
      step={chip.voltageStepMv / 1000}
      origin={(chip.stockVoltageMv ?? 0) / 1000}
      letter="v"
      min={0.1}
      max={3}
      decimals={3}
      error={wrong(form, "voltageMv")}
    />
  </>
);

const OffsetDials = ({ chip, form, last }: Omit<Props, "workloads">) => (
  <>
    {chip.parts.length > 0 ? (
      <ChoiceDial
        name="part"
        label="Part"
        value={form.typed.part}
        choices={[
          { value: "", title: "all together" },
          ...chip.parts.map(({ name }) => ({ value: name, title: name })),
        ]}
        error={wrong(form, "part")}
      />
    ) : null}
    <Dial
      name="offset"
      label={chip.offset?.name ?? "Offset"}
      {...offsetUnder(last, form)}
      unit={chip.offset?.unit ?? ""}
      value={value(form, "offset")}
      step={chip.offset?.step ?? 1}
      letter="c"
      {...(chip.offset?.low == null ? {} : { min: chip.offset.low })}
      {...(chip.offset?.high == null ? {} : { max: chip.offset.high })}
      letters={["-", "+"]}
      error={wrong(form, "offset")}
    />
    {isListOnDial(form) ? (
      <TextDial
        name="offsets"
        label="Each part"
        {...underOf(last.offsets && lineOf(last.offsets), lineOf(value(form, "offsets")))}
        value={lineOf(value(form, "offsets"))}
        error={wrong(form, "offsets")}
      />
    ) : null}
  </>
);

/** Once an offset was named for each part, the list is on the dial. */
const isListOnDial = (form: FormState): boolean => value(form, "offsets") !== "";

const lineOf = (list: string): string => list.replaceAll("\n", "; ");

const offsetUnder = (last: Typed, form: FormState) =>
  isListOnDial(form) && value(form, "offset") === ""
    ? { under: "each as listed" }
    : underOf(last.offset, value(form, "offset"));

const underOf = (last: string | undefined, now: string) =>
  last === undefined || last === now ? {} : { under: `last ${last || "not said"}` };

const KnobDial = ({ knob, form, last }: { knob: Knob; form: FormState; last: Typed }) => {
  const name = knobField(knob.id);
  if (knob.choices.length > 0)
    return (
      <ChoiceDial
        name={name}
        label={knob.name}
        value={form.typed[name]}
        choices={knobChoices(knob)}
        error={wrong(form, name)}
      />
    );
  return (
    <Dial
      name={name}
      label={knob.name}
      {...underOf(last[name], value(form, name))}
      unit={knob.unit}
      value={value(form, name)}
      step={knob.step ?? 1}
      error={wrong(form, name)}
    />
  );
};

const TimingsDial = ({ chip, form, last }: Omit<Props, "workloads">) => (
  <TextDial
    name={timingsField}
    label="Timings"
    under={timingsUnder(chip, last, value(form, timingsField))}
    value={value(form, timingsField)}
    error={wrong(form, timingsField)}
  />
);

const timingsUnder = (chip: Chip, last: Typed, now: string): string =>
  last[timingsField] === now
    ? timingKnobs(chip)
        .map(({ name }) => name)
        .join("-")
    : `last ${last[timingsField]}`;

/** Knobs that were not used yet, and what else is set by part: one tap away, on the dial once used. */
export const MoreKnobs = ({ chip, form, last }: Omit<Props, "workloads">) => {
  const unused = knobsBeside(chip).filter(({ id }) => last[knobField(id)] === undefined);
  const timings = last[timingsField] === undefined ? timingKnobs(chip) : [];
  const isByPart = chip.axis === "offset" && chip.parts.length > 0 && !isListOnDial(form);
  if (unused.length + timings.length === 0 && !isByPart) return null;
  const names = [...(isByPart ? ["offsets"] : []), timingsField, ...unused.map(({ id }) => knobField(id))];
  const isUsed = names.some((name) => value(form, name) !== "" || wrong(form, name) !== undefined);
  return (
    <Fold title={titleOf(unused, timings, isByPart)} keep="knobs" open={isUsed}>
      <Fields>
        {isByPart ? (
          <NoteField
            name="offsets"
            label="An offset for each part"
            hint={`One a line: ${chip.parts[0]?.name ?? "core 0"} = -20. All of them ran unless a part is chosen above; for all, leave the offset above blank.`}
            value={form.typed.offsets}
            error={wrong(form, "offsets")}
          />
        ) : null}
        {timings.length > 0 ? <TimingsInput timings={timings} form={form} /> : null}
        {unused.map((knob) => (
          <KnobInput key={knob.id} knob={knob} form={form} />
        ))}
      </Fields>
    </Fold>
  );
};

const titleOf = (unused: readonly Knob[], timings: readonly Knob[], isByPart: boolean): string => {
  const named = [
    ...(isByPart ? ["offsets by part"] : []),
    ...(timings.length > 0 ? ["timings"] : []),
    ...unused.map(({ name }) => withinSentence(name)),
  ];
  const words = named.slice(0, 3).join(", ");
  return `${words.charAt(0).toUpperCase()}${words.slice(1)}${named.length > 3 ? " …" : ""}: as usual`;
};
