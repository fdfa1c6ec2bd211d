import { chipKinds } from "../../bench/things/chip.ts";
import { workloadKinds } from "../../bench/things/workload.ts";
import type { ThingField } from "../kit/thingFields.tsx";

const note: ThingField = { name: "note", label: "Note", kind: "note", rarer: true };
const name: ThingField = { name: "name", label: "Name", kind: "text", required: true };

const kindTitles = { cpu: "processor", gpu: "graphics processor", memory: "memory" } as const;

export const chipFields: readonly ThingField[] = [
  name,
  {
    name: "kind",
    label: "It is a",
    kind: "choice",
    required: true,
    choices: chipKinds.map((value) => ({ value, title: kindTitles[value] })),
  },
  {
    name: "tempLimitC",
    label: "Temperature limit",
    kind: "temperature",
    required: true,
    hint: "Where it throttles or you would stop; its maker says.",
  },
  {
    name: "voltageCeilingMv",
    label: "Voltage ceiling",
    kind: "voltage",
    hint: "Above this you are asked to confirm.",
  },
  { name: "stockClockMhz", label: "Stock clock", kind: "clock" },
  { name: "stockVoltageMv", label: "Stock voltage", kind: "voltage" },
  {
    name: "warnMarginC",
    label: "Warn when closer to the limit than",
    kind: "number",
    unit: "°C",
    usual: "10 °C",
    rarer: true,
  },
  { name: "clockStepMhz", label: "Clock step", kind: "clock", usual: "25", rarer: true },
  {
    name: "voltageStepMv",
    label: "Voltage step",
    kind: "number",
    unit: "mV",
    usual: "12.5 mV",
    rarer: true,
  },
  {
    name: "sensorAccuracyC",
    label: "Its sensor is good to ±",
    kind: "number",
    unit: "°C",
    usual: "1 °C",
    rarer: true,
  },
  note,
];

export const boardFields: readonly ThingField[] = [
  name,
  { name: "formFactor", label: "Form factor", kind: "text" },
  { name: "corePhases", label: "Core supply phases", kind: "number" },
  { name: "phaseRatingA", label: "Rating of one phase", kind: "current" },
  { name: "supplyTempLimitC", label: "Temperature limit of the supply", kind: "temperature", rarer: true },
  note,
];

export const workloadFields: readonly ThingField[] = [
  { ...name, hint: "A name of your own for what loads the chip." },
  {
    name: "kind",
    label: "Kind",
    kind: "choice",
    required: true,
    choices: workloadKinds.map((value) => ({ value, title: value })),
    hint: "A transition switches the load on and off, where low voltages fail.",
  },
  {
    name: "severity",
    label: "Severity",
    kind: "number",
    hint: "A whole number; higher is heavier. What a heavier load passes counts for a lighter one.",
  },
  { name: "scoreUnit", label: "Unit of its score", kind: "text", rarer: true },
  {
    name: "scoreBetter",
    label: "A better score is",
    kind: "choice",
    choices: [
      { value: "higher", title: "higher" },
      { value: "lower", title: "lower" },
    ],
    rarer: true,
  },
  note,
];

export const ruleNameField: ThingField = name;
