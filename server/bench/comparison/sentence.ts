import { megahertz, volts } from "../things/words.ts";
import type { LoudnessRow } from "./loudness.ts";
import type { SameSettingRow } from "./sameSetting.ts";
import type { SameVoltageRow } from "./sameVoltage.ts";

export type ComparisonWords = Readonly<{
  /** The one sentence at the top. */
  sentence: string;
  /** The figures behind it, in full. */
  detail: string;
  /** Said above everything else: what makes the two builds hard to compare. */
  caution: string | null;
}>;

export type WordedComparison = Readonly<{
  aName: string;
  bName: string;
  sameChip: boolean;
  clockStepMhz: number;
  sameVoltage: readonly SameVoltageRow[];
  sameSetting: readonly SameSettingRow[];
  noise: readonly LoudnessRow[];
}>;

/** What the comparison comes to, in words, claiming no more than its verdicts do. */
export function wordsOfComparison(compared: WordedComparison): ComparisonWords {
  const parts = [clockPart(compared), heatPart(compared), noisePart(compared)].flatMap((part) => part ?? []);
  const caution = compared.sameChip
    ? null
    : "These are two samples of the chip: part of any difference is the chip's, not the board's or the cooler's.";
  return { sentence: joined(parts, compared), detail: detailOf(compared), caution };
}

/** A claim has a build it speaks for, or stands for itself. */
type Part = Readonly<{ of: string | null; says: string }>;

function joined(parts: readonly Part[], { aName, bName }: WordedComparison): string {
  if (parts.length === 0)
    return `Nothing can be said of ${aName} and ${bName} yet: no voltage and no setting was tried on both.`;
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

/** The voltage that speaks for the clocks: the highest one judged to differ, else judged at all, else held by both. */
export function tellingClock(rows: readonly SameVoltageRow[]): SameVoltageRow | undefined {
  const falling = [...rows].reverse();
  return (
    falling.find((row) => row.verdict === "differs") ??
    falling.find((row) => row.verdict === "within-scatter") ??
    falling.find((row) => row.differenceMhz !== null)
  );
}

function clockPart(compared: WordedComparison): Part | undefined {
  const row = tellingClock(compared.sameVoltage);
  if (row === undefined) return undefined;
  if (row.verdict === "within-scatter")
    return {
      of: null,
      says: `at ${volts(row.voltageMv)} the fitted limits do not differ beyond their doubt`,
    };
  return row.verdict === "differs" ? judgedClock(row, compared) : observedClock(row, compared);
}

function judgedClock(row: SameVoltageRow, compared: WordedComparison): Part {
  const up = row.low !== null && row.low > 0;
  const of = winner(compared, up ? 1 : -1);
  const near = Math.abs(up ? row.low! : row.high!);
  const far = up ? row.high : row.low === null ? null : -row.low;
  const steps = stepsBetween(near, far, compared.clockStepMhz);
  return { of, says: steps === null ? "goes further, by less than one clock step" : `goes ${steps} further` };
}

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
    return { of: null, says: `both held ${megahertz(row.aMhz!)} ${at}${bracketWords(row, 1)}` };
  const of = winner(compared, difference);
  const held = `held ${megahertz(Math.abs(difference))} more ${at}`;
  return { of, says: `${held}${bracketWords(row, Math.sign(difference))}` };
}

/** "(at least 25, at most 75)", seen from the build that held more. */
export function bracketWords({ bracket }: SameVoltageRow, sign: number): string {
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

function heatPart(compared: WordedComparison): Part | undefined {
  const row = tellingHeat(compared.sameSetting);
  if (row === undefined) return undefined;
  if (row.verdict === "within-scatter")
    return { of: null, says: "load temperatures do not differ beyond scatter" };
  if (row.verdict === "not-enough")
    return { of: null, says: "which one runs cooler takes more mounts to say" };
  const by = `${withDigits(row.difference, row.low, row.high)} °C`;
  const small = row.smallerThan === "worth-having" ? ", less than is worth having" : "";
  return { of: winner(compared, -row.difference), says: `runs ${by} cooler${small}` };
}

function noisePart(compared: WordedComparison): Part | undefined {
  const row = compared.noise.find((one) => one.verdict === "differs");
  if (row === undefined) return undefined;
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

function detailOf(compared: WordedComparison): string {
  const clock = tellingClock(compared.sameVoltage);
  const heat = tellingHeat(compared.sameSetting);
  const lines = [
    clock === undefined ? null : clockDetail(clock, compared),
    heat === undefined ? null : heatDetail(heat, compared),
  ];
  return lines.filter((line) => line !== null).join(" ");
}

function clockDetail(row: SameVoltageRow, { aName, bName }: WordedComparison): string {
  const held = (name: string, mhz: number | null): string =>
    mhz === null ? `${name} holds nothing by the rule` : `${name} holds ${megahertz(mhz)}`;
  const both = `At ${volts(row.voltageMv)} ${held(aName, row.aMhz)} and ${held(bName, row.bMhz)}`;
  if (row.low === null && row.high === null)
    return `${both}; no limits are fitted, so this is observed only.`;
  return `${both}; the fitted limits, ${bName} less ${aName}, differ by ${rangeWords(row.low, row.high, 0)} MHz.`;
}

function heatDetail(row: SameSettingRow, { aName, bName }: WordedComparison): string {
  const where = `At ${megahertz(row.clockMhz)} and ${volts(row.voltageMv)}`;
  const mounts = `${row.mounts[0]} and ${row.mounts[1]} mounts`;
  if (row.low === null || row.high === null)
    return `${where} ${bName} read ${signedTenth(row.difference)} °C against ${aName} from ${mounts}, which does not tell the builds from their mounts.`;
  const range = rangeWords(row.low, row.high, 1);
  const more = row.difference >= 0 ? "hotter" : "cooler";
  const [low, high] = row.difference >= 0 ? [row.low, row.high] : [-row.high, -row.low];
  if (row.verdict === "differs")
    return `${where} ${bName} is ${Math.abs(row.difference).toFixed(1)} °C ${more} over the room (${rangeWords(low, high, 1)}, ${mounts}).`;
  return `${where} ${bName} less ${aName} is ${signedTenth(row.difference)} °C (${range}, ${mounts}).`;
}

const signedTenth = (value: number): string => `${value < 0 ? "−" : "+"}${Math.abs(value).toFixed(1)}`;

const rangeWords = (low: number | null, high: number | null, decimals: number): string => {
  const written = (value: number): string => `${value < 0 ? "−" : ""}${Math.abs(value).toFixed(decimals)}`;
  if (low === null) return `at most ${written(high!)}`;
  return high === null ? `at least ${written(low)}` : `${written(low)} to ${written(high)}`;
};
