import { measureTraits } from "../runs/comparedRun.ts";
import { type UnitOfClock, volts } from "../things/words.ts";
import type { JudgedClock } from "./clockApart.ts";
import type { Comparison } from "./comparison.ts";
import type { LoudnessRow } from "./loudness.ts";
import type { JudgedOffsets } from "./offsetsApart.ts";
import { rowSetWords, type SameSettingRow } from "./sameSetting.ts";
import { tellingClock } from "./sentence.ts";
import { differsAlone, type JudgedRow, type JudgedTogether, judgedBy } from "./together.ts";
import { aloneWords, sidedDigits, type Verdict, verdictWords } from "./verdict.ts";

/** One difference as a chart of intervals shows it; rows of one `scale` share it. */
export type DifferenceRow = Readonly<{
  /** Short enough for the margin of a chart. */
  label: string;
  /** Where it was measured, in full. */
  setting: string;
  scale: string;
  value: number;
  low: number | null;
  high: number | null;
  words: string;
  verdict: string;
  decided: boolean;
}>;

/** A row speaks no louder than the sentence that sums all up. */
export const amongAll = <Row extends Readonly<{ verdict: string; decided: boolean }>>(
  row: Row,
  judged: Omit<JudgedRow, "verdict">,
  together: readonly JudgedTogether[],
): Row =>
  row.decided && differsAlone({ ...judged, verdict: "differs" }, together)
    ? { ...row, verdict: aloneWords, decided: false }
    : row;

/** The few differences that tell a comparison: the clock, each measure once at its best documented setting, loudness, score. */
export function differenceRows(
  comparison: Limits & Pick<Comparison, "sameSetting" | "noise" | "score" | "together">,
  workloadName: (workloadId: string) => string,
): DifferenceRow[] {
  const told = onePerMeasure([...comparison.sameSetting, ...comparison.score]);
  const { clockUnit, together } = comparison;
  const isAlone = (row: SameSettingRow): boolean =>
    told.filter((other) => other.measure === row.measure).length === 1;
  const settingDrawn = (row: SameSettingRow): DifferenceRow =>
    settingRow(row, workloadName(row.workloadId), isAlone(row), clockUnit);
  return [
    ...clockRows(comparison).map((row) => amongAll(row, limitsJudged(comparison), together)),
    ...told.map((row) => amongAll(settingDrawn(row), judgedBy(row), together)),
    ...comparison.noise.slice(0, 1).map((row) => amongAll(noiseRow(row), judgedBy(row), together)),
  ];
}

/** The first row of each measure and workload that was judged, else the first. */
export function onePerMeasure(rows: readonly SameSettingRow[]): SameSettingRow[] {
  const told = new Map<string, SameSettingRow>();
  for (const row of rows) {
    const name = `${row.measure} ${row.workloadId}`;
    const known = told.get(name);
    if (known === undefined || (known.verdict === "not-enough" && row.verdict !== "not-enough"))
      told.set(name, row);
  }
  return [...told.values()];
}

/** What the limits of two builds are told apart along: one difference over all voltages or parts. */
export const limitsJudged = ({ offsets }: Pick<Comparison, "offsets">) => ({
  measure: offsets === null ? ("clock" as const) : ("offset" as const),
  place: null,
});

type Limits = Pick<Comparison, "clock" | "clockUnit" | "offsets" | "sameVoltage">;

/** The one difference between the limits where they are fitted, else what was observed at the highest voltage, with the bracket as its ends. */
export function clockRows({ clock, clockUnit, offsets, sameVoltage }: Limits): DifferenceRow[] {
  if (offsets !== null) return offsetRows(offsets);
  const unit = { scale: clockUnit, decimals: 0 };
  if (clock.differenceMhz !== null) return [fittedRow(clock, clock.differenceMhz, unit)];
  const row = tellingClock(sameVoltage);
  if (row === undefined || row.differenceMhz === null) return [];
  const [low, high] = [row.bracket?.atLeastMhz ?? null, row.bracket?.atMostMhz ?? null];
  const at = volts(row.voltageMv);
  const observed = { label: `Clock at ${at}`, setting: at, value: row.differenceMhz, low, high };
  return [drawn({ ...observed, ...unit, verdict: "not-enough", verdictAs: "observed only" })];
}

/** The mean over the parts where limits are fitted, and below it each part; else what was held part by part. */
export function offsetRows({
  axis,
  difference,
  low,
  high,
  verdict,
  parts,
  rows,
}: JudgedOffsets): DifferenceRow[] {
  const unit = { scale: axis.unit, decimals: 0 };
  const each = rows.flatMap((row): DifferenceRow[] => {
    const label = shortened(row.part ?? axis.name);
    if (row.limitsApart !== null)
      return [drawn({ ...row, label, setting: label, value: row.limitsApart, ...unit })];
    if (row.difference === null) return [];
    const observed = {
      value: row.difference,
      low: row.bracket?.low ?? null,
      high: row.bracket?.high ?? null,
    };
    return [
      drawn({
        label,
        setting: label,
        ...observed,
        ...unit,
        verdict: row.verdict,
        verdictAs: "observed only",
      }),
    ];
  });
  if (difference === null || parts < 2) return each;
  const setting = `${parts} parts`;
  const label = shortened(`${axis.name}, ${setting}`);
  return [drawn({ label, setting, value: difference, low, high, verdict, ...unit }), ...each];
}

type InUnit = Readonly<{ scale: string; decimals: number }>;

function fittedRow(
  { voltages, low, high, verdict }: JudgedClock,
  value: number,
  unit: InUnit,
): DifferenceRow {
  const [first, last] = [voltages[0]!, voltages.at(-1)!].map(({ voltageMv }) => volts(voltageMv));
  const setting = voltages.length === 1 ? first! : `${first} to ${last}`;
  const label = voltages.length === 1 ? `Clock at ${first}` : `Clock, ${voltages.length} voltages`;
  return drawn({ label, setting, value, low, high, verdict, ...unit });
}

const longestLabel = 26;

const shortened = (words: string): string =>
  words.length <= longestLabel ? words : `${words.slice(0, longestLabel - 1).trimEnd()}…`;

function settingRow(
  row: SameSettingRow,
  workload: string,
  isAlone: boolean,
  unit: UnitOfClock,
): DifferenceRow {
  const { short, byMount } = measureTraits[row.measure];
  const label = shortened(isAlone ? short : `${short}, ${workload}`);
  const setting = `${workload}, ${rowSetWords(row, unit)}`;
  const decimals = row.measure === "score" ? scoreDecimals(row) : byMount || row.measure === "power" ? 1 : 0;
  const scale = row.measure === "score" ? "score" : row.unit;
  return drawn({ ...row, value: row.difference, label, setting, scale, decimals });
}

/** Scores come on every scale: as many digits as show the interval, one where there is none and the score is small. */
export function scoreDecimals({ a, low, high }: Pick<SameSettingRow, "a" | "low" | "high">): number {
  const half = low === null || high === null ? Math.abs(a) / 100 : (high - low) / 2;
  if (half >= 3) return 0;
  return half >= 0.3 ? 1 : 2;
}

const noiseRow = (row: LoudnessRow): DifferenceRow => {
  const setting = row.distanceM === null ? "at 1 m, worked out" : `at ${row.distanceM} m`;
  return drawn({ ...row, value: row.difference, label: "Loudness", setting, scale: "dB(A)", decimals: 1 });
};

type Drawn = Omit<DifferenceRow, "words" | "verdict" | "decided"> &
  Readonly<{ decimals: number; verdict: Verdict; verdictAs?: string }>;

function drawn({
  label,
  setting,
  scale,
  value,
  low,
  high,
  decimals,
  verdict,
  verdictAs,
}: Drawn): DifferenceRow {
  const unit = scale === "score" ? "" : ` ${scale}`;
  const words = `${signed(value, decimals)}${unit}${endsWords(low, high, decimals)}`;
  const decided = verdict === "differs";
  return {
    label,
    setting,
    scale,
    value,
    low,
    high,
    words,
    verdict: verdictAs ?? verdictWords[verdict],
    decided,
  };
}

const written = (value: number, decimals: number): string => {
  const fixed = Math.abs(value).toFixed(decimals);
  return value < 0 && /[1-9]/.test(fixed) ? `−${fixed}` : fixed;
};
const signed = (value: number, decimals: number): string =>
  value > 0 ? `+${written(value, decimals)}` : written(value, decimals);

function endsWords(low: number | null, high: number | null, decimals: number): string {
  const digits = sidedDigits(decimals, low, high);
  if (low === null && high === null) return "";
  if (low === null) return ` (at most ${written(high!, digits)})`;
  if (high === null) return ` (at least ${written(low, digits)})`;
  return ` (${written(low, digits)} to ${written(high, digits)})`;
}
