import { groupedBy } from "../../numerics/groups.ts";
import { mean, pooledVariance } from "../../numerics/moments.ts";
import {
  distanceCaution,
  loudnessWords,
  meterAccuracyDb,
  noiseFindings,
  noiseUncertainty,
} from "../noise/noise.ts";
import type { NoiseReading } from "../noise/noiseReading.ts";
import { type Assumptions, sameSensorShare, standardOfHalfWidth } from "./assumptions.ts";
import { type BudgetLine, budgetTotal, toMillionths, type Verdict, verdictOf } from "./verdict.ts";

/** Two builds' loudness under one condition. Differences are b minus a, in dB. */
export type LoudnessRow = Readonly<{
  workloadId: string | null;
  clockMhz: number | null;
  voltageMv: number | null;
  /** Where both were read; null where they were read at different distances and stand worked out to 1 m. */
  distanceM: number | null;
  measure: "noise";
  unit: "dB(A)";
  a: number;
  b: number;
  difference: number;
  low: number | null;
  high: number | null;
  /** Readings of each build, each of one or more levels. */
  runs: readonly [number, number];
  verdict: Verdict;
  budget: readonly BudgetLine[];
  /** What the difference means to a listener (common practice). */
  words: string;
  smallerThan: "worth-having" | null;
  notes: readonly string[];
}>;

/** Every condition read on both builds: at the same distance where there is one, else at 1 m with a caution and no verdict. */
export function loudnessRows(
  a: readonly NoiseReading[],
  b: readonly NoiseReading[],
  assumptions: Pick<Assumptions, "worthHaving">,
): LoudnessRow[] {
  const [ofA, ofB] = [groupedBy(a, conditionKey), groupedBy(b, conditionKey)];
  return [...ofA].flatMap(([condition, readingsA]) => {
    const readingsB = ofB.get(condition);
    return readingsB === undefined ? [] : atCondition(readingsA, readingsB, assumptions);
  });
}

const conditionKey = (reading: NoiseReading): string =>
  `${reading.workloadId} ${reading.clockMhz} ${reading.voltageMv}`;

function atCondition(
  a: readonly NoiseReading[],
  b: readonly NoiseReading[],
  assumptions: Pick<Assumptions, "worthHaving">,
): LoudnessRow[] {
  const [ofA, ofB] = [
    groupedBy(a, (reading) => reading.distanceM),
    groupedBy(b, (reading) => reading.distanceM),
  ];
  const shared = [...ofA.keys()].filter((distanceM) => ofB.has(distanceM)).sort((x, y) => x - y);
  if (shared.length === 0) return [loudnessRow(null, a, b, assumptions)];
  return shared.map((distanceM) =>
    loudnessRow(distanceM, ofA.get(distanceM)!, ofB.get(distanceM)!, assumptions),
  );
}

function loudnessRow(
  distanceM: number | null,
  readingsA: readonly NoiseReading[],
  readingsB: readonly NoiseReading[],
  { worthHaving }: Pick<Assumptions, "worthHaving">,
): LoudnessRow {
  const sides = [readingsA, readingsB].map((readings) => sideOf(readings, distanceM)) as [Side, Side];
  const [a, b] = [toMillionths(mean(sides[0].levels)!), toMillionths(mean(sides[1].levels)!)];
  const difference = toMillionths(b - a);
  const budget = budgetOf(sides);
  const { low, high } = endsOf(
    difference,
    sides,
    distanceM === null ? undefined : budgetTotal(budget)?.expanded,
  );
  const verdict = verdictOf(low, high);
  const small = verdict === "differs" && Math.abs(difference) < (worthHaving.noise ?? 0);
  const { workloadId, clockMhz, voltageMv } = readingsA[0]!;
  return {
    workloadId,
    clockMhz,
    voltageMv,
    distanceM,
    measure: "noise",
    unit: "dB(A)",
    a,
    b,
    difference,
    low,
    high,
    runs: [readingsA.length, readingsB.length],
    verdict,
    budget,
    words: loudnessWords(difference),
    smallerThan: small ? "worth-having" : null,
    notes: notesOf(sides, distanceM),
  };
}

type Side = Readonly<{
  levels: readonly number[];
  /** Standard uncertainties of the readings' own scatter. */
  within: readonly (readonly [number, number])[];
  magnification: number;
  /** True where some level is only the most it can be. */
  isUpperBound: boolean;
  withoutBackground: boolean;
}>;

function sideOf(readings: readonly NoiseReading[], distanceM: number | null): Side {
  const found = readings.map(noiseFindings);
  const sure = readings.map((reading) => noiseUncertainty(reading));
  return {
    levels: found.map((one) => (distanceM === null ? one.atOneMetreDba : (one.correctedDba ?? one.meanDba))),
    within: sure.flatMap((one) =>
      one.readingsDb === null ? [] : [[one.readingsDb, one.degreesOfFreedom!] as const],
    ),
    magnification: Math.max(...sure.map((one) => one.magnification)),
    isUpperBound: found.some((one) => one.correction === "upper-bound"),
    withoutBackground: found.some((one) => one.correction === "no-background"),
  };
}

/** Putting the meter back moves a reading by about this much (common practice, half-width). */
export const placeHalfWidthDb = 1;

function budgetOf(sides: readonly [Side, Side]): BudgetLine[] {
  const repeated = pooledVariance(sides.map((side) => side.levels));
  const line = (
    source: string,
    a: number,
    b: number,
    from: string,
    degreesOfFreedom: number | null,
  ): BudgetLine => ({ source, a, b, from, counted: true, degreesOfFreedom });
  const meter = sides.map(
    (side) => (standardOfHalfWidth(meterAccuracyDb) * sameSensorShare * side.magnification) / Math.SQRT2,
  );
  const fixed = line(
    "sound meter",
    meter[0]!,
    meter[1]!,
    `±${meterAccuracyDb} dB, the same meter: a fifth is taken not to cancel`,
    null,
  );
  if (repeated !== undefined) {
    const parts = sides.map((side) => Math.sqrt(repeated.variance / side.levels.length));
    return [
      line(
        "reading to reading",
        parts[0]!,
        parts[1]!,
        "readings repeated under the same condition, pooled",
        repeated.degreesOfFreedom,
      ),
      fixed,
    ];
  }
  const place = sides.map((side) => standardOfHalfWidth(placeHalfWidthDb) * side.magnification);
  return [
    ...withinReadings(sides),
    line(
      "the meter's place",
      place[0]!,
      place[1]!,
      `±${placeHalfWidthDb} dB (common practice): one reading of each`,
      null,
    ),
    fixed,
  ];
}

function withinReadings(sides: readonly [Side, Side]): BudgetLine[] {
  const parts = sides.map((side) => side.within[0]);
  const known = parts.flatMap((part) => part ?? []);
  if (known.length === 0) return [];
  const degrees = Math.min(...parts.flatMap((part) => (part === undefined ? [] : [part[1]])));
  return [
    {
      source: "within a reading",
      a: parts[0]?.[0] ?? null,
      b: parts[1]?.[0] ?? null,
      from: "levels read one after another",
      counted: true,
      degreesOfFreedom: degrees,
    },
  ];
}

/** Where one level is only an upper bound, the difference keeps the one end that it still allows. */
function endsOf(difference: number, [a, b]: readonly [Side, Side], expanded: number | undefined) {
  if (expanded === undefined || a.withoutBackground || b.withoutBackground) return { low: null, high: null };
  return {
    low: b.isUpperBound ? null : toMillionths(difference - expanded),
    high: a.isUpperBound ? null : toMillionths(difference + expanded),
  };
}

function notesOf([a, b]: readonly [Side, Side], distanceM: number | null): string[] {
  const notes: string[] = [];
  if (distanceM === null)
    notes.push(`Read at different distances, so compared at 1 m and not judged. ${distanceCaution}`);
  if (a.withoutBackground || b.withoutBackground)
    notes.push(
      "Without a background reading nothing can be said of the builds alone. Read it at the same spot with everything off.",
    );
  if (a.isUpperBound || b.isUpperBound)
    notes.push(
      "Too close to the background: that build is at most as loud as shown. Read nearer, or at a quieter hour.",
    );
  return notes;
}
