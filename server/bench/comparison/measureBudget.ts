import { readingStep, roundingUncertainty } from "../../numerics/readingStep.ts";
import { measureTraits, type RunMeasure } from "../runs/comparedRun.ts";
import {
  type Assumptions,
  sameSensorShare,
  sameThermometerShare,
  standardOfHalfWidth,
  statedDegreesOfFreedom,
} from "./assumptions.ts";
import { type MeasuredSide, type MeasuredSides, repeatsOf } from "./measuredSide.ts";
import {
  type Scatter,
  type ScatterSource,
  scatterBetweenMounts,
  scatterBetweenRuns,
  workloadOf,
} from "./scatter.ts";
import { unevenScatter } from "./unevenScatter.ts";
import type { BudgetLine } from "./verdict.ts";

/** The scatter that decides, and the one between runs where it is shown only. */
export type KnownScatter = Readonly<{
  /** What is repeated: each mount counts once, or each run. */
  per: "mount" | "run";
  /** Null where nothing is known of the scatter: then nothing can be said. */
  scatter: Scatter | null;
  runScatter: Scatter | null;
  notes: readonly string[];
}>;

/** Where scatter is looked for: the two builds first, then others of the same chips; what was found is kept. */
export type ScatterRecord = Readonly<{
  sources: readonly ScatterSource[];
  found: Map<string, Scatter | null>;
}>;

/** What the record, or else the tester, says of the scatter of one measure at one setting. */
export function knownScatter(
  measure: RunMeasure,
  key: string,
  record: ScatterRecord,
  sides: MeasuredSides,
  assumptions: Assumptions,
): KnownScatter {
  const runScatter = runScatterOf(measure, workloadOf(key), record, sides);
  const byRun = {
    per: "run",
    scatter: runScatter,
    runScatter: null,
    notes: borrowedRuns(sides, runScatter),
  } as const;
  if (assumptions.coolerStayedOn) return byRun;
  if (measureTraits[measure].byMount)
    return { per: "mount", ...mountScatter(measure, key, record.sources, sides, assumptions), runScatter };
  const moving = scatterWithMounts(measure, key, record.sources, sides, runScatter);
  return moving === null ? byRun : { per: "mount", scatter: moving, runScatter, notes: [movesNote] };
}

const movesNote = "It moves with the mount, so each mount counts once.";

/** Power, fans and clocks may follow the mount through its heat: where these two builds' mounts say more doubt than runs, they are believed. */
function scatterWithMounts(
  measure: RunMeasure,
  key: string,
  sources: readonly ScatterSource[],
  { a, b, taken }: MeasuredSides,
  runs: Scatter | null,
): Scatter | null {
  if (a.mounts < 2 || b.mounts < 2) return null;
  const name = `${measure} ${taken.name}`;
  const mounts = scatterBetweenMounts(sources.slice(0, 2), key, name, taken.reading) ?? null;
  if (mounts === null || runs === null) return mounts;
  const doubt = (scatter: Scatter, nA: number, nB: number): number =>
    scatter.standardDeviation * Math.sqrt(1 / nA + 1 / nB);
  return doubt(mounts, a.mounts, b.mounts) > doubt(runs, a.runs, b.runs) ? mounts : null;
}

function runScatterOf(
  measure: RunMeasure,
  workloadId: string,
  { sources, found }: ScatterRecord,
  { taken }: MeasuredSides,
): Scatter | null {
  const name = `${workloadId} ${measure} ${taken.name}`;
  const known = found.get(name);
  if (known !== undefined) return known;
  const scatter =
    scatterBetweenRuns(
      sources,
      workloadId,
      `${measure} ${taken.name}`,
      taken.reading,
      measureTraits[measure].byMount,
    ) ?? null;
  found.set(name, scatter);
  return scatter;
}

function borrowedRuns({ a, b }: MeasuredSides, scatter: Scatter | null): string[] {
  return a.runs === 1 && b.runs === 1 && scatter !== null
    ? [`One run each: how far runs scatter is taken from repeats elsewhere (${scatter.from}).`]
    : [];
}

/** Known where both builds were mounted twice, or from other builds of the chip, or as the tester states it. */
function mountScatter(
  measure: RunMeasure,
  key: string,
  sources: readonly ScatterSource[],
  { a, b, taken }: MeasuredSides,
  assumptions: Assumptions,
): Pick<KnownScatter, "scatter" | "notes"> {
  const over = (from: readonly ScatterSource[]) =>
    scatterBetweenMounts(from, key, `${measure} ${taken.name}`, taken.reading);
  const bothRepeated = a.mounts >= 2 && b.mounts >= 2;
  const elsewhere = bothRepeated ? undefined : over(sources.slice(2));
  if (bothRepeated || elsewhere !== undefined) {
    const scatter = over(sources) ?? null;
    return { scatter, notes: bothRepeated || scatter === null ? [] : [borrowedMounts(scatter)] };
  }
  const statedC = assumptions.mountScatterC;
  return { scatter: statedC === null ? null : stated(statedC), notes: [] };
}

const borrowedMounts = (scatter: Scatter): string =>
  `How far mounts scatter is known from other builds of this chip (${scatter.from}).`;

const stated = (scatterC: number): Scatter => ({
  standardDeviation: scatterC,
  degreesOfFreedom: statedDegreesOfFreedom,
  from: "as stated by the tester, taken to be known to a quarter",
});

/** Every source of doubt, line by line; lines that another contains are shown and not counted. */
export function budgetOf(
  measure: RunMeasure,
  sides: MeasuredSides,
  known: KnownScatter,
  assumptions: Assumptions,
): BudgetLine[] {
  return [
    ...withinRun(sides),
    ...runToRun(sides, known),
    ...repeats(sides, known),
    ...coarseReadings(sides, known),
    ...(measureTraits[measure].byMount ? accuracyLines(measure, assumptions) : []),
  ];
}

/** What the instruments of a temperature over the room may be off. */
export const accuracyLines = (measure: RunMeasure, assumptions: Assumptions): BudgetLine[] => [
  room(assumptions),
  sensor(measure, assumptions),
];

type Sides = MeasuredSides;
const ofBoth = <Value>({ a, b }: Sides, of: (side: MeasuredSide) => Value): [Value, Value] => [of(a), of(b)];

const line = (
  source: string,
  [a, b]: readonly [number | null, number | null],
  from: string,
  counted: boolean,
  degreesOfFreedom: number | null,
): BudgetLine => ({ source, a, b, from, counted, degreesOfFreedom });

function withinRun(sides: Sides): BudgetLine[] {
  const parts = ofBoth(sides, ({ withinRuns: all }) =>
    all.length === 0 ? null : Math.hypot(...all) / all.length,
  );
  if (parts[0] === null && parts[1] === null) return [];
  const from = "levels found in traces; contained in the scatter between runs";
  return [line("within a run", parts, from, false, null)];
}

function runToRun(sides: Sides, { per, runScatter }: KnownScatter): BudgetLine[] {
  if (per === "run" || runScatter === null) return [];
  const { standardDeviation, degreesOfFreedom, from } = runScatter;
  const parts = ofBoth(sides, ({ runs }) => standardDeviation / Math.sqrt(runs));
  return [line("run to run", parts, `${from}; contained in the mounts`, false, degreesOfFreedom)];
}

function repeats(sides: Sides, known: KnownScatter): BudgetLine[] {
  const { per, scatter } = known;
  const source = per === "mount" ? "mount to mount" : "run to run";
  if (scatter === null) return [line(source, [null, null], "not known", false, null)];
  const apart = unevenScatter(sides, per);
  if (apart !== undefined) return [line(source, apart.parts, apart.from, true, apart.degreesOfFreedom)];
  const { standardDeviation, degreesOfFreedom, from } = scatter;
  const parts = ofBoth(sides, (side) => standardDeviation / Math.sqrt(repeatsOf(side, per).length));
  return [line(source, parts, from, true, degreesOfFreedom)];
}

function coarseReadings(sides: Sides, { scatter }: KnownScatter): BudgetLine[] {
  const step = readingStep([...sides.a.readings, ...sides.b.readings]);
  const part = scatter === null ? 0 : roundingUncertainty(step, scatter.standardDeviation);
  return part === 0 ? [] : [line("rounding", [part, part], `read in steps of ${step}`, true, null)];
}

function room({ roomAccuracyC }: Assumptions): BudgetLine {
  const part = standardOfHalfWidth(roomAccuracyC) * sameThermometerShare;
  const from = `thermometer ±${roomAccuracyC} °C, the same for both: half is taken to cancel`;
  return line("room", [part, part], from, true, null);
}

function sensor(measure: RunMeasure, assumptions: Assumptions): BudgetLine {
  const [a, b] = assumptions.sensorAccuracyC;
  const isSame = measure === "supplyRise" ? assumptions.sameSupplySensor : assumptions.sameSensor;
  if (!isSame)
    return line("sensor", [standardOfHalfWidth(a), standardOfHalfWidth(b)], sensorFrom(a, b), true, null);
  const part = (standardOfHalfWidth(a) * sameSensorShare) / Math.SQRT2;
  const from = `same sensor, ±${a} °C: a fifth is taken not to cancel`;
  return line("sensor", [part, part], from, true, null);
}

const sensorFrom = (a: number, b: number): string => `two sensors, ±${a} and ±${b} °C: nothing cancels`;
