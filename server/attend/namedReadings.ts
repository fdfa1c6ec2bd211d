import { type MachineReading, nothingRead } from "./reading.ts";

/** One reading as a program prints it: `name=value unit`. */
export type NamedValue = Readonly<{ name: string; value: number; unit: string }>;

/** The values in lines such as "core temperature=61.5 °C"; what is none is left out. */
export const namedValuesIn = (text: string): readonly NamedValue[] =>
  text.split(/\r?\n/).flatMap((line) => {
    const found = /^\s*([^=]{1,80}?)\s*=\s*(-?\d+(?:\.\d+)?(?:e[+-]?\d+)?)\s*([^\d\s]\S{0,15})?\s*$/i.exec(
      line,
    );
    return found === null ? [] : [{ name: found[1] ?? "", value: Number(found[2]), unit: found[3] ?? "" }];
  });

/** Units as they are written, each with what it measures and what makes it ours. */
const units: Readonly<Record<string, Readonly<{ of: Measure; factor: number; offset?: number }>>> = {
  "°c": { of: "temperature", factor: 1 },
  c: { of: "temperature", factor: 1 },
  "°f": { of: "temperature", factor: 5 / 9, offset: -32 },
  f: { of: "temperature", factor: 5 / 9, offset: -32 },
  w: { of: "power", factor: 1 },
  mw: { of: "power", factor: 0.001 },
  v: { of: "voltage", factor: 1000 },
  mv: { of: "voltage", factor: 1 },
  mhz: { of: "clock", factor: 1 },
  ghz: { of: "clock", factor: 1000 },
  rpm: { of: "fan", factor: 1 },
};

type Measure = "temperature" | "power" | "voltage" | "clock" | "fan";

/** Places that are not the chip's. */
const elsewhere = /room|ambient|supply|vrm|board|coolant|drive|disk/i;

/** What named values say of a machine: the hottest place that may be the chip's, the first power, voltage and clock. */
export function readingOfNamed(values: readonly NamedValue[]): MachineReading {
  const temps: Record<string, number> = {};
  const fans: Record<string, number> = {};
  const others: Record<string, number> = {};
  const first: Partial<Record<Measure, number>> = {};
  for (const { name, value, unit } of values) {
    const known = units[unit.toLowerCase()];
    if (known === undefined) {
      others[unit === "" ? name : `${name} [${unit}]`] = value;
      continue;
    }
    const ours = (value + (known.offset ?? 0)) * known.factor;
    if (known.of === "temperature") temps[name] = Math.round(ours * 100) / 100;
    else if (known.of === "fan") fans[name] = ours;
    else first[known.of] ??= ours;
  }
  const own = Object.entries(temps).filter(([name]) => !elsewhere.test(name));
  return {
    ...nothingRead,
    ...{ temps, fans, others },
    tempC: own.length === 0 ? null : Math.max(...own.map(([, value]) => value)),
    powerW: first.power ?? null,
    voltageMv: first.voltage ?? null,
    clockMhz: first.clock ?? null,
  };
}
