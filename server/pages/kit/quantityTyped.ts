/** Null where left blank, NaN where it is no such quantity. */
export type QuantityTyped = number | null;

/** What a number means with a unit written behind it; the empty unit is what it means with none. */
type Units = Readonly<Record<string, number | ((value: number) => number)>>;

const shape = /^([+-]?(?:\d+(?:[.,]\d*)?|[.,]\d+))(.*)$/;

/** A number with or without one of these units, decimal comma or point, spaces where people put them. */
export function quantityTyped(typed: string | undefined, units: Units): QuantityTyped {
  const plain = (typed ?? "").replace(/\s/g, "").replace("−", "-").toLowerCase();
  if (plain === "") return null;
  const [, digits = "", unit = ""] = shape.exec(plain) ?? [];
  const meaning = Object.hasOwn(units, unit) ? units[unit] : undefined;
  if (digits === "" || meaning === undefined) return Number.NaN;
  const value = Number(digits.replace(",", "."));
  return typeof meaning === "number" ? value * meaning : meaning(value);
}

export const clockTyped = (typed: string | undefined): QuantityTyped =>
  rounded(quantityTyped(typed, { "": 1, mhz: 1, "mt/s": 1, ghz: 1000 }));

/** Nobody runs a chip at 20 V, and nothing runs at 20 mV: without a unit the size says which is meant. */
const volts = (value: number): number => (value < 20 ? value * 1000 : value);

/** Millivolts from 1.2, 1,2 V, 1200 or 1200 mV. */
export const voltageTyped = (typed: string | undefined): QuantityTyped =>
  rounded(quantityTyped(typed, { "": volts, v: 1000, mv: 1 }));

const fromFahrenheit = (value: number): number => ((value - 32) * 5) / 9;

export const temperatureTyped = (typed: string | undefined): QuantityTyped =>
  rounded(
    quantityTyped(typed, {
      "": 1,
      c: 1,
      "°c": 1,
      "°": 1,
      k: (k) => k - 273.15,
      f: fromFahrenheit,
      "°f": fromFahrenheit,
    }),
  );

const clockShape = /^(?:(\d+):)?(\d{1,3}):([0-5]\d)$/;
const partShape = /(\d+(?:[.,]\d*)?)(d|h|min|m|s)/g;
const secondsIn: Readonly<Record<string, number>> = { d: 86_400, h: 3600, min: 60, m: 60, s: 1 };

/** Seconds from 20 (minutes), 90 s, 1 h 30 min, 1:05:00. */
export function durationTyped(typed: string | undefined): QuantityTyped {
  const plain = (typed ?? "").replace(/\s/g, "").toLowerCase();
  const [, hours = "0", minutes, seconds] = clockShape.exec(plain) ?? [];
  if (minutes !== undefined) return Number(hours) * 3600 + Number(minutes) * 60 + Number(seconds);
  const parts = [...plain.matchAll(partShape)];
  if (parts.length > 0 && parts.map(([part]) => part).join("") === plain)
    return rounded(
      parts.reduce(
        (sum, [, n = "", unit = ""]) => sum + Number(n.replace(",", ".")) * (secondsIn[unit] ?? 0),
        0,
      ),
    );
  return rounded(quantityTyped(typed, { "": 60 }));
}

const rounded = (value: QuantityTyped): QuantityTyped =>
  value === null || Number.isNaN(value) ? value : Math.round(value * 1000) / 1000;
