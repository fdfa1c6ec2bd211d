import {
  appliers,
  axes,
  type Chip,
  type ChipPart,
  clockUnits,
  offsetUnits,
} from "../../bench/things/chip.ts";
import type { Choice } from "../../html/field.tsx";
import { kinds } from "../kit/attemptKinds.ts";
import { type Typed, textTyped } from "../kit/forms.ts";
import { clockTyped, quantityTyped, voltageTyped } from "../kit/quantityTyped.ts";
import { type ThingField, thingTyped, thingWritten } from "../kit/thingFields.tsx";

const choices = <Of extends string>(of: readonly Of[], titles: Readonly<Record<Of, string>>): Choice[] =>
  of.map((value) => ({ value, title: titles[value] }));

const same = <Of extends string>(of: readonly Of[]) => of.map((value) => ({ value, title: value }));

/** What a chip is searched along: asked in sight, since the bench asks for nothing else. */
export const axisField: ThingField = {
  name: "axis",
  label: "What you set",
  kind: "choice",
  choices: choices(axes, { clock: "a clock at a voltage", offset: "an offset" }),
  none: "a clock at a voltage",
  hint: "With an offset, clock and voltage are readings; say below what it is.",
};

/** The offset that it is searched along, where that is not a clock at a voltage. */
export const offsetFields: readonly ThingField[] = [
  { name: "offsetName", label: "The offset is called", kind: "text" },
  { name: "offsetUnit", label: "Its unit", kind: "choice", choices: same(offsetUnits) },
  { name: "offsetStep", label: "Its step", kind: "number" },
  {
    name: "offsetHarder",
    label: "Harder to hold is",
    kind: "choice",
    choices: [
      { value: "up", title: "more" },
      { value: "down", title: "less" },
    ],
  },
  { name: "offsetLow", label: "The lowest that is offered", kind: "number" },
  { name: "offsetHigh", label: "The highest that is offered", kind: "number" },
  { name: "countIsAboutMv", label: "One count is about", kind: "number", unit: "mV" },
  {
    name: "parts",
    label: "Parts with an offset of their own",
    kind: "text",
    hint: "Such as core 0, core 1; where the kernel counts otherwise, core 0 = cpu 4.",
  },
  {
    name: "sharedSupply",
    label: "All parts share one supply",
    kind: "choice",
    choices: same(["yes", "no"]),
  },
  {
    name: "stockCurve",
    label: "Its stock curve",
    kind: "note",
    hint: "One point a line: 0.925 V = 2085 MHz. Drawn, not reckoned with.",
  },
].map((field) => ({ ...field, rarer: true }) as ThingField);

/** In which units and steps, by whom, and whether the firmware may choose the voltage. */
export const unitFields: readonly ThingField[] = [
  { name: "model", label: "Model", kind: "text", hint: "What several samples have in common." },
  { name: "clockUnit", label: "Clocks are in", kind: "choice", choices: same(clockUnits), none: "MHz" },
  {
    name: "clockGrid",
    label: "Clocks that exist",
    kind: "text",
    hint: "Where they are not evenly stepped: 5600, 6000, 6200, 6400.",
  },
  { name: "baseClockMhz", label: "Base clock", kind: "clock" },
  { name: "voltageName", label: "The voltage is called", kind: "text" },
  {
    name: "automaticVoltage",
    label: "The voltage may be automatic",
    kind: "choice",
    choices: same(["yes", "no"]),
  },
  {
    name: "appliedBy",
    label: "Settings are applied by",
    kind: "choice",
    choices: choices(appliers, { firmware: "the firmware", software: "software, which a reset undoes" }),
    none: "the firmware",
  },
  { name: "moduleCount", label: "Modules", kind: "number" },
  { name: "moduleRanks", label: "Ranks of each", kind: "number" },
  { name: "moduleSlots", label: "In which slots", kind: "text" },
].map((field) => ({ ...field, rarer: true }) as ThingField);

/** Where temperatures are read, and how far they may go. */
export const placeFields: readonly ThingField[] = [
  {
    name: "mainPlace",
    label: "The load temperature is read at",
    kind: "text",
    hint: "Such as package, edge, hottest core.",
  },
  {
    name: "limits",
    label: "Limits at other places",
    kind: "temperatures",
    hint: "One a line: hotspot = 100",
  },
  {
    name: "controlOffsetC",
    label: "The reading stands above the true temperature by",
    kind: "number",
    unit: "°C",
    hint: "Where the sensor tells a control value.",
  },
  {
    name: "lowestTempC",
    label: "Too cold under",
    kind: "temperature",
    hint: "A crash below it says nothing of the clock.",
  },
].map((field) => ({ ...field, rarer: true }) as ThingField);

const yes = (typed: string | undefined): boolean => typed === "yes";
const yesWritten = (value: boolean): string => (value ? "yes" : "");
const number = (typed: string | undefined) => quantityTyped(typed, { "": 1 });

const listed = (typed: string | undefined): string[] =>
  (typed ?? "").split(/[,;\n]/).flatMap((word) => textTyped(word) ?? []);

const partTyped = (word: string): { name: string; kernel: string | null } => {
  const [name = "", kernel] = word.split("=").map((side) => side.trim());
  return { name, kernel: kernel ?? null };
};

const partWritten = ({ name, kernel }: ChipPart): string => (kernel === null ? name : `${name} = ${kernel}`);

const pointTyped = (line: string) => {
  const [voltage, clock] = line.split("=");
  return { voltageMv: voltageTyped(voltage), clockMhz: clockTyped(clock) };
};

function offsetTyped(typed: Typed): unknown {
  const said = ["offsetName", "offsetUnit", "offsetStep", "offsetHarder"].some((name) =>
    textTyped(typed[name]),
  );
  if (!said && typed.axis !== "offset") return null;
  return {
    name: textTyped(typed.offsetName) ?? "Offset",
    unit: textTyped(typed.offsetUnit),
    step: number(typed.offsetStep),
    harder: textTyped(typed.offsetHarder),
    low: number(typed.offsetLow),
    high: number(typed.offsetHigh),
    countIsAboutMv: number(typed.countIsAboutMv),
  };
}

/** The parts of a chip's form that are not fields of it by themselves. */
export const chipSettingTyped = (typed: Typed): Record<string, unknown> => ({
  axis: textTyped(typed.axis),
  offset: offsetTyped(typed),
  parts: listed(typed.parts).map(partTyped),
  sharedSupply: yes(typed.sharedSupply),
  stockCurve: (typed.stockCurve ?? "")
    .split("\n")
    .filter((line) => line.trim() !== "")
    .map(pointTyped),
  ...thingTyped(placeFields, typed),
  model: textTyped(typed.model),
  clockUnit: textTyped(typed.clockUnit),
  clockGrid: listed(typed.clockGrid).map(clockTyped),
  baseClockMhz: clockTyped(typed.baseClockMhz),
  voltageName: textTyped(typed.voltageName),
  automaticVoltage: yes(typed.automaticVoltage),
  appliedBy: textTyped(typed.appliedBy),
  modules:
    number(typed.moduleCount) === null
      ? null
      : {
          count: number(typed.moduleCount),
          ranks: number(typed.moduleRanks),
          slots: textTyped(typed.moduleSlots),
        },
});

const written = (value: number | string | null | undefined): string => (value == null ? "" : String(value));

/** What is usual stands blank, so that its fold stays shut. */
export const chipSettingWritten = (chip: Chip): Typed => ({
  axis: chip.axis === "offset" ? "offset" : "",
  offsetName: written(chip.offset?.name),
  offsetUnit: written(chip.offset?.unit),
  offsetStep: written(chip.offset?.step),
  offsetHarder: written(chip.offset?.harder),
  offsetLow: written(chip.offset?.low),
  offsetHigh: written(chip.offset?.high),
  countIsAboutMv: written(chip.offset?.countIsAboutMv),
  parts: chip.parts.map(partWritten).join(", "),
  sharedSupply: yesWritten(chip.sharedSupply),
  stockCurve: chip.stockCurve
    .map(({ voltageMv, clockMhz }) => `${kinds.voltage.write(voltageMv)} V = ${clockMhz} MHz`)
    .join("\n"),
  ...thingWritten(placeFields, chip),
  model: written(chip.model),
  clockUnit: chip.clockUnit === "MHz" ? "" : chip.clockUnit,
  clockGrid: chip.clockGrid.join(", "),
  baseClockMhz: written(chip.baseClockMhz),
  voltageName: written(chip.voltageName),
  automaticVoltage: yesWritten(chip.automaticVoltage),
  appliedBy: chip.appliedBy === "firmware" ? "" : chip.appliedBy,
  moduleCount: written(chip.modules?.count),
  moduleRanks: written(chip.modules?.ranks),
  moduleSlots: written(chip.modules?.slots),
});

const nested: Readonly<Record<string, string>> = {
  offset: "offsetStep",
  "offset.name": "offsetName",
  "offset.unit": "offsetUnit",
  "offset.step": "offsetStep",
  "offset.harder": "offsetHarder",
  "offset.low": "offsetLow",
  "offset.high": "offsetHigh",
  "offset.countIsAboutMv": "countIsAboutMv",
  "modules.count": "moduleCount",
  "modules.ranks": "moduleRanks",
  "modules.slots": "moduleSlots",
};

/** The field of the form that words about a chip's own field belong beside. */
export const chipFieldInForm = (field: string): string => {
  if (Object.hasOwn(nested, field)) return nested[field] as string;
  const [list = field, at, of] = field.split(".");
  if (list !== "knobs") return list;
  return at === undefined
    ? "knobName-0"
    : `knob${(of ?? "name").replace(/^./, (first) => first.toUpperCase())}-${at}`;
};
