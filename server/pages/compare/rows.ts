import type { Comparison } from "../../bench/comparison/comparison.ts";
import { amongAll, clockRows, limitsJudged } from "../../bench/comparison/intervalRows.ts";
import type { LoudnessRow } from "../../bench/comparison/loudness.ts";
import type { SameSettingRow } from "../../bench/comparison/sameSetting.ts";
import {
  type JudgedRow,
  type JudgedTogether,
  judgedBy,
  verdictSaid,
} from "../../bench/comparison/together.ts";
import { sidedDigits, type Verdict, verdictWords } from "../../bench/comparison/verdict.ts";
import { measureTraits } from "../../bench/runs/comparedRun.ts";
import type { UnitOfClock } from "../../bench/things/words.ts";
import { decimalsFor, formatMilli, formatNumber, formatSigned } from "../../html/format.ts";
import type { IntervalRow } from "../../html/intervalSvg.tsx";
import { clocksIn } from "../kit/clockUnit.ts";
import { settingWords } from "../kit/settingWords.tsx";

type Interval = Readonly<{ difference: number | null; low: number | null; high: number | null }>;

/** The digits a difference deserves by its interval. */
export const digitsOf = ({ difference, low, high }: Interval): number => {
  if (low !== null && high !== null) return Math.min(2, decimalsFor((high - low) / 2));
  return difference === null || Number.isInteger(difference) ? 0 : 1;
};

/** Both ends with so many digits, or more where one would be rounded to zero. */
export const rangeOf = ({ low, high }: Omit<Interval, "difference">, least: number): string => {
  const digits = sidedDigits(least, low, high);
  if (low === null && high === null) return "";
  if (low === null) return `at most ${formatNumber(high, digits)}`;
  if (high === null) return `at least ${formatNumber(low, digits)}`;
  return `${formatNumber(low, digits)} to ${formatNumber(high, digits)}`;
};

const wordsOf = (difference: number, interval: Interval, unit: string): string => {
  const digits = digitsOf(interval);
  const range = rangeOf(interval, digits);
  return `${formatSigned(difference, digits)} ${unit}${range ? ` (${range})` : ""}`;
};

/** A verdict never breaks over two lines. */
const unbroken = (words: string): string => words.replaceAll(" ", "\u00a0");

/** Beside a bar and in a narrow column. */
const shortly = (verdict: string): string =>
  verdict === verdictWords["within-scatter"] ? "within scatter" : verdict;

const drawn = (
  label: string,
  scale: string,
  difference: number,
  row: Interval & { verdict: Verdict },
  unit: string,
): IntervalRow => ({
  label,
  scale,
  value: difference,
  low: row.low,
  high: row.high,
  words: wordsOf(difference, row, unit),
  verdict: verdictWords[row.verdict],
  decided: row.verdict === "differs",
});

/** More parts than these stand in the table alone. */
const mostPartsDrawn = 6;

/** The one difference over all voltages, and below it each voltage, undecided ones too. */
const clocksDrawn = (compared: Comparison): readonly IntervalRow[] => {
  const { clockUnit: unit } = compared;
  const { voltages } = compared.clock;
  if (compared.offsets !== null) return clockRows(compared).slice(0, mostPartsDrawn);
  const each = voltages.flatMap(({ voltageMv, differenceMhz, ...judged }) =>
    differenceMhz === null || voltages.length === 1
      ? []
      : [
          drawn(
            `at ${formatMilli(voltageMv)} V`,
            unit,
            differenceMhz,
            { ...judged, difference: differenceMhz },
            unit,
          ),
        ],
  );
  return [...clockRows(compared), ...each.toReversed().slice(0, 3)];
};

const shortMeasure: Readonly<Record<SameSettingRow["measure"], string>> = {
  loadRise: "Loaded",
  peakRise: "Peak",
  idleRise: "Idle",
  supplyRise: "Core supply",
  power: "Power",
  fan: "Fan",
  effectiveClock: "Effective clock",
  score: "Score",
};

/** The best documented setting speaks for each measure and load. */
export const tellingRows = (rows: readonly SameSettingRow[]): readonly SameSettingRow[] => {
  const best = new Map<string, SameSettingRow>();
  const documented = ({ runs, mounts }: SameSettingRow) => Math.min(...mounts) * 1000 + Math.min(...runs);
  for (const row of rows) {
    const key = `${row.measure} ${row.workloadId}`;
    const known = best.get(key);
    if (!known || documented(row) > documented(known)) best.set(key, row);
  }
  return [...best.values()];
};

const mostDrawn = 12;

/** What the picture shows: the clock over all voltages and at the highest ones, then each measure at its best documented setting. */
export const intervalRows = (
  compared: Comparison,
  loads: ReadonlyMap<string, string>,
): readonly IntervalRow[] => {
  const { together } = compared;
  const clocks = clocksDrawn(compared).map((row) => amongAll(row, limitsJudged(compared), together));
  const drawnMeasure = (row: SameSettingRow): IntervalRow => {
    const load = loads.get(row.workloadId);
    const label =
      row.measure === "idleRise" || !load
        ? shortMeasure[row.measure]
        : `${shortMeasure[row.measure]}, ${load}`;
    return amongAll(drawn(label, row.unit, row.difference, row, row.unit), judgedBy(row), together);
  };
  const loudnessLabel = ({ workloadId, distanceM }: LoudnessRow): string => {
    const load = workloadId === null ? undefined : loads.get(workloadId);
    return load ? `Loudness, ${load}` : `Loudness at ${formatNumber(distanceM ?? 1)} m`;
  };
  const noise = compared.noise
    .slice(0, 3)
    .map((row) =>
      amongAll(drawn(loudnessLabel(row), "dB", row.difference, row, row.unit), judgedBy(row), together),
    );
  const scores = tellingRows(compared.score).slice(0, 2).map(drawnMeasure);
  const room = mostDrawn - clocks.length - noise.length - scores.length;
  const measures = fewest(tellingRows(compared.sameSetting), room).map(drawnMeasure);
  return [...clocks, ...measures, ...scores, ...noise].map((row) => ({
    ...row,
    verdict: shortly(row.verdict),
  }));
};

/** Where there are too many to draw, those of which nothing can be said go first. */
function fewest(rows: readonly SameSettingRow[], most: number): readonly SameSettingRow[] {
  if (rows.length <= most) return rows;
  const judged = rows.filter(({ verdict }) => verdict !== "not-enough").slice(0, most);
  const others = rows.filter((row) => !judged.includes(row)).slice(0, most - judged.length);
  return rows.filter((row) => judged.includes(row) || others.includes(row));
}

export const measureLabel = (row: SameSettingRow): string => measureTraits[row.measure].words;
export const settingLabel = (row: SameSettingRow, clockUnit: UnitOfClock): string =>
  row.set ?? settingWords(row, clocksIn(clockUnit));
export const verdictLabel = (row: JudgedRow, together: readonly JudgedTogether[]): string =>
  unbroken(shortly(verdictSaid(row, together)));
