import { measureTraits } from "../runs/comparedRun.ts";
import { megahertz, volts } from "../things/words.ts";
import type { Comparison } from "./comparison.ts";
import type { LoudnessRow } from "./loudness.ts";
import type { SameSettingRow } from "./sameSetting.ts";
import type { SameVoltageRow } from "./sameVoltage.ts";
import { tellingClock } from "./sentence.ts";
import { type Verdict, verdictWords } from "./verdict.ts";

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

/** The few differences that tell a comparison: the clock, each measure once at its best documented setting, loudness, score. */
export function differenceRows(
  comparison: Pick<Comparison, "sameVoltage" | "sameSetting" | "noise" | "score">,
  workloadName: (workloadId: string) => string,
): DifferenceRow[] {
  const clock = tellingClock(comparison.sameVoltage);
  const told = onePerMeasure([...comparison.sameSetting, ...comparison.score]);
  const isAlone = (row: SameSettingRow): boolean =>
    told.filter((other) => other.measure === row.measure).length === 1;
  return [
    ...(clock === undefined ? [] : clockRow(clock)),
    ...told.map((row) => settingRow(row, workloadName(row.workloadId), isAlone(row))),
    ...comparison.noise.slice(0, 1).map(noiseRow),
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

/** Between fitted limits where there are any, else as observed, with the bracket as its ends. */
function clockRow(row: SameVoltageRow): DifferenceRow[] {
  const isFitted = row.aLimitMhz !== null && row.bLimitMhz !== null;
  const value = isFitted ? row.bLimitMhz! - row.aLimitMhz! : row.differenceMhz;
  if (value === null) return [];
  const [low, high] = isFitted
    ? [row.low, row.high]
    : [row.bracket?.atLeastMhz ?? null, row.bracket?.atMostMhz ?? null];
  const at = volts(row.voltageMv);
  const verdictAs = isFitted ? verdictWords[row.verdict] : "observed only";
  return [
    drawn({
      label: `Clock at ${at}`,
      setting: at,
      scale: "MHz",
      value,
      low,
      high,
      decimals: 0,
      verdict: row.verdict,
      verdictAs,
    }),
  ];
}

const longestLabel = 26;

const shortened = (words: string): string =>
  words.length <= longestLabel ? words : `${words.slice(0, longestLabel - 1).trimEnd()}…`;

function settingRow(row: SameSettingRow, workload: string, isAlone: boolean): DifferenceRow {
  const { short, byMount } = measureTraits[row.measure];
  const label = shortened(isAlone ? short : `${short}, ${workload}`);
  const setting = `${workload}, ${megahertz(row.clockMhz)}, ${volts(row.voltageMv)}`;
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
  if (low === null && high === null) return "";
  if (low === null) return ` (at most ${written(high!, decimals)})`;
  if (high === null) return ` (at least ${written(low, decimals)})`;
  return ` (${written(low, decimals)} to ${written(high, decimals)})`;
}
