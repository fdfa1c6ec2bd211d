import { clockWords, type UnitOfClock, volts } from "../things/words.ts";
import type { JudgedClock } from "./clockApart.ts";
import type { LoudnessRow } from "./loudness.ts";
import type { JudgedOffsets } from "./offsetsApart.ts";
import { rowSetWords, type SameSettingRow } from "./sameSetting.ts";
import type { SameVoltageRow } from "./sameVoltage.ts";
import { type JudgedTogether, judgedTogether, type SummedUp } from "./together.ts";
import { sidedDigits } from "./verdict.ts";

export type ComparisonWords = Readonly<{
  /** The one sentence at the top. */
  sentence: string;
  /** The figures behind it, in full. */
  detail: string;
  /** Said above everything else: what makes the two builds hard to compare. */
  caution: string | null;
  /** Clock, heat and noise as the sentence judges them: together, so that alike builds seldom differ in any. */
  together: readonly JudgedTogether[];
}>;

export type WordedComparison = Readonly<{
  aName: string;
  bName: string;
  sameChip: boolean;
  clockStepMhz: number;
  clockUnit: UnitOfClock;
  clock: JudgedClock;
  offsets: JudgedOffsets | null;
  sameVoltage: readonly SameVoltageRow[];
  sameSetting: readonly SameSettingRow[];
  noise: readonly LoudnessRow[];
}>;

/** The rows that a comparison is summed up by: chosen by how well they are documented, never by what they say. */
const summedUp = ({
  clock,
  offsets,
  sameSetting,
  noise,
}: Pick<WordedComparison, "clock" | "offsets" | "sameSetting" | "noise">): SummedUp => ({
  clock,
  offsets,
  heat: tellingHeat(sameSetting),
  noise: tellingNoise(noise),
});

/** What the comparison comes to, in words, claiming no more than its verdicts do. */
export function wordsOfComparison(compared: WordedComparison): ComparisonWords {
  const rows = summedUp(compared);
  const together = judgedTogether(rows);
  const stands = (measure: JudgedTogether["measure"]): boolean =>
    together.some((one) => one.measure === measure && one.verdict === "differs");
  const parts = [
    compared.offsets === null
      ? clockPart(compared, stands("clock"))
      : offsetPart(compared.offsets, compared, stands("offset")),
    heatPart(compared, rows.heat, stands("loadRise")),
    noisePart(compared, rows.noise, stands("noise")),
  ].flatMap((part) => part ?? []);
  const caution = compared.sameChip
    ? null
    : "These are two samples of the chip: part of any difference is the chip's, not the board's or the cooler's.";
  return {
    sentence: joined(parts, compared),
    detail: detailOf(compared, stands("loadRise")),
    caution,
    together,
  };
}

/** A claim has a build it speaks for, or stands for itself. */
type Part = Readonly<{ of: string | null; says: string }>;

function joined(parts: readonly Part[], compared: WordedComparison): string {
  const { aName, bName } = compared;
  if (parts.length === 0)
    return `Nothing can be said of ${aName} and ${bName} yet: ${compared.offsets === null ? "no voltage and no setting" : "no part"} was tried on both.`;
  const sentences: string[] = [];
  for (const [n, part] of parts.entries()) {
    const follows = n > 0 && part.of !== null && part.of === parts[n - 1]!.of;
    if (follows) sentences.push(`${sentences.pop()} and ${part.says}`);
    else sentences.push(part.of === null ? part.says : `${part.of} ${part.says}`);
  }
  const whole = sentences.join("; ");
  return `${whole[0]!.toUpperCase()}${whole.slice(1)}.`;
}

const winner = ({ aName, bName }: WordedComparison, difference: number): string =>
  difference > 0 ? bName : aName;

/** The voltage that speaks for what was observed: the highest that both held. */
export const tellingClock = (rows: readonly SameVoltageRow[]): SameVoltageRow | undefined =>
  rows.findLast((row) => row.differenceMhz !== null);

const notTogether = "may differ, but that is not sure";

const withinDoubt = "the fitted limits do not differ beyond their doubt";

function clockPart(compared: WordedComparison, stands: boolean): Part | undefined {
  const { clock } = compared;
  if (clock.verdict === "within-scatter") return { of: null, says: withinDoubt };
  if (clock.verdict === "differs")
    return stands ? furtherPart(clock, compared) : { of: null, says: `the clock ${notTogether}` };
  const row = tellingClock(compared.sameVoltage);
  return row === undefined ? undefined : observedClock(row, compared);
}

const furtherPart = (clock: JudgedClock, compared: WordedComparison): Part =>
  furtherBySteps(clock, compared, compared.clockStepMhz, "one clock step");

/** Ends of a difference of which more is further, told in the steps that it is set in. */
function furtherBySteps(
  { low, high }: Readonly<{ low: number | null; high: number | null }>,
  compared: WordedComparison,
  step: number,
  oneStep: string,
): Part {
  const up = low !== null && low > 0;
  const of = winner(compared, up ? 1 : -1);
  const near = Math.abs(up ? low : high!);
  const far = up ? high : low === null ? null : -low;
  const steps = stepsBetween(near, far, step);
  return { of, says: steps === null ? `goes further, by less than ${oneStep}` : `goes ${steps} further` };
}

function offsetPart(offsets: JudgedOffsets, compared: WordedComparison, stands: boolean): Part | undefined {
  const { verdict, axis } = offsets;
  if (verdict === "within-scatter") return { of: null, says: withinDoubt };
  if (verdict === "not-enough") return observedOffsets(offsets, compared);
  if (!stands) return { of: null, says: `the ${axis.name} ${notTogether}` };
  return furtherBySteps(endsByHardness(offsets), compared, axis.step, `one step of the ${axis.name}`);
}

/** What was held, part by part: how much harder by its own unit, else on how many of the parts. */
function observedOffsets({ rows, axis }: JudgedOffsets, compared: WordedComparison): Part | undefined {
  const harder = rows.flatMap(({ difference }) =>
    difference === null ? [] : [axis.harder === "up" ? difference : 0 - difference],
  );
  const [only] = harder;
  if (only === undefined) return undefined;
  const isB = harder.reduce((sum, one) => sum + one, 0) > 0;
  const ahead = harder.filter((one) => (isB ? one > 0 : one < 0)).length;
  const untried = ", how far the limits lie apart is not fitted yet";
  if (harder.every((one) => one === 0))
    return {
      of: null,
      says: `both held the same ${axis.name}${rows.length === 1 ? "" : " on every part held on both"}${untried}`,
    };
  const of = winner(compared, isB ? 1 : -1);
  const how = offsetAmount(Math.abs(only), axis.unit);
  return rows.length === 1
    ? { of, says: `held ${how} further${untried}` }
    : { of, says: `held further on ${ahead} of ${harder.length} parts${untried}` };
}

/** The ends of a difference turned so that more is harder. */
const endsByHardness = ({ low, high, axis }: Pick<JudgedOffsets, "low" | "high" | "axis">) =>
  axis.harder === "up"
    ? { low, high }
    : { low: high === null ? null : 0 - high, high: low === null ? null : 0 - low };

const offsetAmount = (amount: number, unit: string): string => `${Number(amount.toFixed(3))} ${unit}`;

const numbers = ["no", "one", "two", "three", "four", "five", "six", "seven", "eight", "nine", "ten"];
const counted = (count: number): string => numbers[count] ?? `${count}`;
const stepWord = (count: number): string => (count === 1 ? "step" : "steps");

/** The whole clock steps that an interval allows; null where it allows none. */
export function stepsBetween(nearMhz: number, farMhz: number | null, stepMhz: number): string | null {
  const least = Math.max(1, Math.ceil(nearMhz / stepMhz - 1e-9));
  if (farMhz === null) return `at least ${counted(least)} ${stepWord(least)}`;
  const most = Math.floor(farMhz / stepMhz + 1e-9);
  if (most < least) return most === 0 ? null : `about ${counted(most)} ${stepWord(most)}`;
  if (most === least) return `${counted(least)} ${stepWord(least)}`;
  return most === least + 1
    ? `${counted(least)} or ${counted(most)} steps`
    : `${counted(least)} to ${counted(most)} steps`;
}

function observedClock(row: SameVoltageRow, compared: WordedComparison): Part {
  const difference = row.differenceMhz!;
  const at = `at ${volts(row.voltageMv)}`;
  if (difference === 0)
    return {
      of: null,
      says: `both held ${clockWords(row.aMhz!, compared.clockUnit)} ${at}${bracketWords(row, 1)}`,
    };
  const of = winner(compared, difference);
  const held = `held ${clockWords(Math.abs(difference), compared.clockUnit)} more ${at}`;
  return { of, says: `${held}${bracketWords(row, Math.sign(difference))}` };
}

/** "(at least 25, at most 75)", seen from the build that held more. */
function bracketWords({ bracket }: SameVoltageRow, sign: number): string {
  if (bracket === null) return ", how far the limits lie apart was never tried";
  const [least, most] =
    sign > 0
      ? [bracket.atLeastMhz, bracket.atMostMhz]
      : [negated(bracket.atMostMhz), negated(bracket.atLeastMhz)];
  const ends = [
    least === null ? null : `at least ${signedWhole(least)}`,
    most === null ? null : `at most ${signedWhole(most)}`,
  ].filter((end) => end !== null);
  return ` (observed: ${ends.join(", ")})`;
}

const negated = (value: number | null): number | null => (value === null ? null : 0 - value);
const signedWhole = (mhz: number): string => `${mhz < 0 ? "−" : ""}${Number(Math.abs(mhz).toFixed(3))}`;

/**
 * The setting that speaks for the heat: the best documented one that could be judged. Taking the first that differs would
 * pick, of many settings, the one where chance was kindest.
 */
export function tellingHeat(rows: readonly SameSettingRow[]): SameSettingRow | undefined {
  const loads = rows.filter((row) => row.measure === "loadRise");
  return loads.find((row) => row.verdict !== "not-enough") ?? loads[0];
}

/** Likewise the loudness: the first condition that could be judged. */
export const tellingNoise = (rows: readonly LoudnessRow[]): LoudnessRow | undefined =>
  rows.find((row) => row.verdict !== "not-enough") ?? rows[0];

function heatPart(
  compared: WordedComparison,
  row: SameSettingRow | undefined,
  stands: boolean,
): Part | undefined {
  if (row === undefined) return undefined;
  if (row.verdict === "within-scatter")
    return { of: null, says: "load temperatures do not differ beyond scatter" };
  if (row.verdict === "not-enough")
    return { of: null, says: "which one runs cooler takes more mounts to say" };
  if (!stands) return { of: null, says: `the heat ${notTogether}` };
  const by = `${withDigits(row.difference, row.low, row.high)} °C`;
  const small = row.smallerThan === "worth-having" ? ", less than is worth having" : "";
  return { of: winner(compared, -row.difference), says: `runs ${by} cooler${small}` };
}

function noisePart(
  compared: WordedComparison,
  row: LoudnessRow | undefined,
  stands: boolean,
): Part | undefined {
  if (row?.verdict !== "differs") return undefined;
  if (!stands) return { of: null, says: `the loudness ${notTogether}` };
  const open = row.low === null || row.high === null ? "at least " : "";
  const by =
    open === ""
      ? withDigits(row.difference, row.low, row.high)
      : Math.abs(row.low ?? row.high ?? 0).toFixed(0);
  return { of: winner(compared, -row.difference), says: `is ${open}${by} dB(A) quieter` };
}

/** A difference without its sign, with the digits its interval deserves. */
const withDigits = (difference: number, low: number | null, high: number | null): string => {
  const half = low === null || high === null ? 1 : (high - low) / 2;
  return Math.abs(difference).toFixed(half >= 1 ? 0 : 1);
};

function detailOf(compared: WordedComparison, heatStands: boolean): string {
  const held = tellingClock(compared.sameVoltage);
  const heat = tellingHeat(compared.sameSetting);
  const lines = [
    compared.offsets === null ? null : offsetsDetail(compared.offsets, compared),
    held === undefined ? null : heldDetail(held, compared),
    limitsDetail(compared),
    heat === undefined ? null : heatDetail(heat, compared, heatStands),
  ];
  return lines.filter((line) => line !== null).join(" ");
}

function heldDetail(row: SameVoltageRow, { aName, bName, clock, clockUnit }: WordedComparison): string {
  const held = (name: string, mhz: number | null): string =>
    mhz === null ? `${name} holds nothing by the rule` : `${name} holds ${clockWords(mhz, clockUnit)}`;
  const both = `At ${volts(row.voltageMv)} ${held(aName, row.aMhz)} and ${held(bName, row.bMhz)}`;
  return clock.differenceMhz === null
    ? `${both}; no limits are fitted, so this is observed only.`
    : `${both}.`;
}

/** The one difference, and the voltages at which another verdict stands. */
function limitsDetail({ aName, bName, clock, clockUnit }: WordedComparison): string | null {
  if (clock.differenceMhz === null) return null;
  const { voltages } = clock;
  const over =
    voltages.length === 1
      ? `At ${volts(voltages[0]!.voltageMv)}`
      : `On the mean of ${voltages.length} voltages, ${volts(voltages[0]!.voltageMv)} to ${volts(voltages.at(-1)!.voltageMv)},`;
  const others = voltages.filter(({ verdict }) => verdict !== clock.verdict);
  const where = others.map(({ voltageMv }) => volts(voltageMv)).join(", ");
  const exceptions =
    others.length === 0
      ? ""
      : clock.verdict === "differs"
        ? `, not decided at ${where} alone`
        : `, though at ${where} alone they would differ`;
  const apart = apartWords(clock, { unit: clockUnit, decimals: 0, more: "above", less: "below" });
  return `${over} the limit of ${bName} lies ${apart} that of ${aName}${exceptions}.`;
}

/** The one difference over the parts, and the parts of which another verdict stands. */
function offsetsDetail(
  { difference, low, high, verdict, parts, rows, axis }: JudgedOffsets,
  { aName, bName }: WordedComparison,
): string | null {
  if (difference === null)
    return rows.length === 0 ? null : "No limits are fitted, so what was held is observed only.";
  const over = parts === 1 ? "" : `On the mean of ${parts} parts `;
  const others = rows.filter((row) => row.limitsApart !== null && row.verdict !== verdict);
  const where = others.map(({ part }) => part ?? "the chip").join(", ");
  const exceptions =
    others.length === 0
      ? ""
      : verdict === "differs"
        ? `, not decided on ${where} alone`
        : `, though on ${where} alone they would differ`;
  const ends = endsByHardness({ low, high, axis });
  const apart = apartWords(ends, { unit: axis.unit, decimals: 0, more: "further", less: "less far" });
  return `${over}${bName} can be set ${apart} than ${aName}, by their fitted limits${exceptions}.`;
}

function heatDetail(
  row: SameSettingRow,
  { aName, bName, clockUnit }: WordedComparison,
  stands: boolean,
): string {
  const where = `At ${rowSetWords(row, clockUnit, " and ")}`;
  const [ofA, ofB] = row.mounts;
  const mounts = ofA === 1 && ofB === 1 ? "one mount of each" : `${ofA} and ${ofB} mounts`;
  const by = `${Math.abs(row.difference).toFixed(1)} °C ${row.difference < 0 ? "cooler" : "hotter"}`;
  if (row.low === null || row.high === null)
    return `${where} ${bName} read ${by} than ${aName} from ${mounts}, which does not tell the builds from their mounts.`;
  const [low, high] = row.difference >= 0 ? [row.low, row.high] : [-row.high, -row.low];
  if (stands) return `${where} ${bName} is ${by} over the room (${rangeWords(low, high, 1)}, ${mounts}).`;
  const range = apartWords(row, { unit: "°C", decimals: 1, more: "hotter", less: "cooler" });
  return `${where} ${bName} read ${by} than ${aName} (${range}, ${mounts}).`;
}

type Ways = Readonly<{ unit: string; decimals: number; more: string; less: string }>;

/** Where a difference may lie in words for its direction, never by a sign: "29 to 67 MHz below", "between 12 MHz below and 30 MHz above". */
function apartWords(
  { low, high }: Readonly<{ low: number | null; high: number | null }>,
  { unit, decimals, more, less }: Ways,
): string {
  if (low !== null && low >= 0) return `${rangeWords(low, high, decimals)} ${unit} ${more}`;
  if (high !== null && high <= 0)
    return `${rangeWords(0 - high, low === null ? null : 0 - low, decimals)} ${unit} ${less}`;
  const digits = sidedDigits(decimals, low, high);
  const end = (value: number): string =>
    `${Math.abs(value).toFixed(digits)} ${unit} ${value < 0 ? less : more}`;
  if (low === null) return `at most ${end(high!)}`;
  return high === null ? `at most ${end(low)}` : `between ${end(low)} and ${end(high)}`;
}

const rangeWords = (low: number | null, high: number | null, decimals: number): string => {
  const digits = sidedDigits(decimals, low, high);
  const written = (value: number): string => `${value < 0 ? "−" : ""}${Math.abs(value).toFixed(digits)}`;
  if (low === null) return `at most ${written(high!)}`;
  return high === null ? `at least ${written(low)}` : `${written(low)} to ${written(high)}`;
};
