import { megahertz, volts } from "../words.ts";
import { measureTraits } from "./comparedRun.ts";
import type { Comparison } from "./comparison.ts";
import type { LoudnessRow } from "./loudness.ts";
import type { SameSettingRow } from "./sameSetting.ts";
import type { SameVoltageRow } from "./sameVoltage.ts";
import { tellingClock } from "./sentence.ts";
import { type Verdict, verdictWords } from "./verdict.ts";

/** One difference as a chart of intervals shows it; rows of one `scale` share it. */
export type DifferenceRow = Readonly<{
  label: string;
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
  return [
    ...(clock === undefined ? [] : clockRow(clock)),
    ...onePerMeasure([...comparison.sameSetting, ...comparison.score]).map((row) =>
      settingRow(row, workloadName),
    ),
    ...comparison.noise.slice(0, 1).map(noiseRow),
  ];
}

/** The first row of each measure and workload that was judged, else the first. */
function onePerMeasure(rows: readonly SameSettingRow[]): SameSettingRow[] {
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
  const label = `Clock at ${volts(row.voltageMv)}`;
  const verdict = isFitted ? verdictWords[row.verdict] : "observed only";
  return [drawn(label, "MHz", value, low, high, 0, verdict, row.verdict)];
}

function settingRow(row: SameSettingRow, workloadName: (workloadId: string) => string): DifferenceRow {
  const { words, byMount } = measureTraits[row.measure];
  const label = `${words[0]!.toUpperCase()}${words.slice(1)}, ${workloadName(row.workloadId)}, ${megahertz(row.clockMhz)}`;
  const decimals = byMount || row.measure === "power" ? 1 : 0;
  const scale = row.measure === "score" ? "score" : row.unit;
  return drawn(
    label,
    scale,
    row.difference,
    row.low,
    row.high,
    decimals,
    verdictWords[row.verdict],
    row.verdict,
  );
}

const noiseRow = (row: LoudnessRow): DifferenceRow =>
  drawn(
    row.distanceM === null ? "Loudness at 1 m, worked out" : `Loudness at ${row.distanceM} m`,
    "dB(A)",
    row.difference,
    row.low,
    row.high,
    1,
    verdictWords[row.verdict],
    row.verdict,
  );

function drawn(
  label: string,
  scale: string,
  value: number,
  low: number | null,
  high: number | null,
  decimals: number,
  verdict: string,
  judged: Verdict,
): DifferenceRow {
  const unit = scale === "score" ? "" : ` ${scale}`;
  const words = `${signed(value, decimals)}${unit}${endsWords(low, high, decimals)}`;
  return { label, scale, value, low, high, words, verdict, decided: judged === "differs" };
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
