import type { Chip } from "../../bench/things/chip.ts";
import type { FieldRefusals } from "../../bench/things/refusal.ts";
import { isId } from "../../bench/things/units.ts";
import { formatDuration, formatMilli, formatNumber } from "../../html/format.ts";

type Worded = Readonly<{ message: string; fields: FieldRefusals }>;

/** Whose clocks and offsets a form is about. */
export type UnitsOfForm = Pick<Chip, "clockUnit" | "offset">;

/** Fields of forms that are typed in millivolts; every other voltage is typed in volts, unless its typist says otherwise. */
const inMillivolts: ReadonlySet<string> = new Set(["voltageStepMv", "countIsAboutMv"]);

const durations = /^(plannedS|durationS|failedFromS|failedToS|have|duration-\d+)$/;
const clocks = /[cC]lock(Step)?Mhz$/;
const offsetFields = /^offsets?(\.|$)/;

const inVolts = (words: string): string =>
  words
    .replace(/(\d+(?:\.\d+)?) mV\b/g, (_, figure: string) => `${formatMilli(Number(figure))} V`)
    .replace(/\bin mV\b/g, "in V");

const inMinutes = (words: string): string =>
  words
    .replace(/(\d+(?:\.\d+)?) s\b/g, (_, figure: string) => formatDuration(Number(figure)))
    .replace(/a number in s\b/g, "minutes, or 90 s, 3:24, 1 h 5 min");

const inGigahertz = (words: string): string =>
  words
    .replace(/(\d+(?:\.\d+)?) MHz\b/g, (_, figure: string) => `${formatNumber(Number(figure) / 1000)} GHz`)
    .replace(/\bin MHz\b/g, "in GHz");

/** As the field itself is read: a unit written behind the figure counts, and without one nobody types volts above 20. */
const saysMillivolts = (typed: string): boolean => {
  const plain = typed.replace(/\s/g, "").replace(",", ".").toLowerCase();
  return plain.endsWith("mv") || Math.abs(Number(plain)) >= 20;
};

/** A voltage in the unit in which it was typed. */
export const voltageAsTyped = (voltageMv: number, typed: string | undefined): string =>
  saysMillivolts(typed ?? "") ? `${formatNumber(voltageMv)} mV` : `${formatMilli(voltageMv)} V`;

const ceilings = /([\d.]+) V (lies above the ceiling of) ([\d.]+) V/;

/** A ceiling is told in volts, unless millivolts were typed. */
const ceilingAsTyped = (words: string, typed: string): string =>
  words.replace(ceilings, (_, over: string, lies: string, ceiling: string) =>
    [over, lies, ceiling]
      .map((one) => (one === lies ? one : voltageAsTyped(1000 * Number(one), typed)))
      .join(" "),
  );

/** A bare end of a range gets the unit that the chip is set in. */
const withUnit = (words: string, unit: string): string =>
  words
    .replace(
      /(at least|at most) (-?\d+)\.$/,
      (_, end: string, figure: string) => `${end} ${figure.replace("-", "−")} ${unit}.`,
    )
    .replace("must be a number,", `must be a number in ${unit},`);

function worded(field: string, words: string, typed: string, units: UnitsOfForm | null): string {
  if (durations.test(field)) return inMinutes(words);
  if (clocks.test(field)) {
    if (/ghz\s*$/i.test(typed)) return inGigahertz(words);
    return units === null ? words : words.replace(/\bMHz\b/g, units.clockUnit);
  }
  if (offsetFields.test(field) && units?.offset) return withUnit(words, units.offset.unit);
  const isVolts = field.endsWith("Mv") && !inMillivolts.has(field) && !saysMillivolts(typed);
  return isVolts ? inVolts(words) : words;
}

/**
 * What is refused, in the unit in which the form has its field: the journal's own is of no use to whoever types. The
 * sentence above says the same as the field that it is about; what is said of one of many attempts is of the field
 * that is corrected.
 */
export function refusedInUnits(
  { message, fields }: Worded,
  typed: Readonly<Record<string, string | undefined>>,
  units: UnitsOfForm | null,
): Worded {
  const wordedOf = (field: string, words: string): string => {
    const name = isId(field) ? (typed.field ?? field) : field;
    const [list = name] = name.split(".");
    return worded(name, words, typed[name] ?? typed[list] ?? "", units);
  };
  const told: FieldRefusals = Object.fromEntries(
    Object.entries(fields).map(([field, words]) => [field, wordedOf(field, words)]),
  );
  const above = Object.entries(fields).reduce(
    (said, [field, words]) => said.replace(words, () => told[field] ?? words),
    message,
  );
  return { message: ceilingAsTyped(above, typed.voltageMv ?? ""), fields: told };
}
