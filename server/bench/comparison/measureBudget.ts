import {
  type Assumptions,
  sameSensorShare,
  sameThermometerShare,
  standardOfHalfWidth,
  statedDegreesOfFreedom,
} from "./assumptions.ts";
import { measured, measureTraits, type RunMeasure } from "./comparedRun.ts";
import type { MeasuredSides } from "./measuredSide.ts";
import {
  type Reading,
  readingStep,
  type Scatter,
  type ScatterSource,
  scatterBetweenMounts,
  scatterBetweenRuns,
  workloadOf,
} from "./scatter.ts";
import type { BudgetLine } from "./verdict.ts";

/** The scatter that decides, and the one between runs where it is shown only. */
export type KnownScatter = Readonly<{
  per: "mount" | "run";
  /** Null where nothing is known of the scatter: then nothing can be said. */
  scatter: Scatter | null;
  runScatter: Scatter | null;
  notes: readonly string[];
}>;

/** Temperatures are repeated by the mount, unless the cooler stayed on; everything else by the run. */
export const repeatedBy = (measure: RunMeasure, assumptions: Assumptions): "mount" | "run" =>
  measureTraits[measure].byMount && !assumptions.coolerStayedOn ? "mount" : "run";

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
  isIdle: boolean,
): KnownScatter {
  const reading: Reading = (run) => measured(measure, run, isIdle);
  const runScatter = runScatterOf(measure, workloadOf(key), record, reading);
  if (repeatedBy(measure, assumptions) === "run")
    return { per: "run", scatter: runScatter, runScatter: null, notes: borrowedRuns(sides, runScatter) };
  const mounts = mountScatter(measure, key, record.sources, sides, reading, assumptions);
  return { per: "mount", scatter: mounts.scatter, runScatter, notes: mounts.notes };
}

function runScatterOf(
  measure: RunMeasure,
  workloadId: string,
  { sources, found }: ScatterRecord,
  reading: Reading,
): Scatter | null {
  const name = `${workloadId} ${measure}`;
  const known = found.get(name);
  if (known !== undefined) return known;
  const scatter = scatterBetweenRuns(sources, workloadId, reading, measureTraits[measure].byMount) ?? null;
  found.set(name, scatter);
  return scatter;
}

function borrowedRuns(sides: MeasuredSides, scatter: Scatter | null): string[] {
  const single = sides[0].runs === 1 && sides[1].runs === 1;
  return single && scatter !== null
    ? [`One run each: how far runs scatter is taken from repeats elsewhere (${scatter.from}).`]
    : [];
}

/** Known where both builds were mounted twice, or from other builds of the chip, or as the tester states it. */
function mountScatter(
  measure: RunMeasure,
  key: string,
  sources: readonly ScatterSource[],
  sides: MeasuredSides,
  reading: Reading,
  assumptions: Assumptions,
): Pick<KnownScatter, "scatter" | "notes"> {
  const bothRepeated = sides[0].mounts >= 2 && sides[1].mounts >= 2;
  const elsewhere = bothRepeated ? undefined : scatterBetweenMounts(sources.slice(2), key, measure, reading);
  if (bothRepeated || elsewhere !== undefined) {
    const scatter = scatterBetweenMounts(sources, key, measure, reading) ?? null;
    return { scatter, notes: bothRepeated || scatter === null ? [] : [borrowedMounts(scatter)] };
  }
  if (assumptions.mountScatterC === null) return { scatter: null, notes: [] };
  return { scatter: stated(assumptions.mountScatterC), notes: [] };
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
    ...(measureTraits[measure].byMount ? [room(assumptions), sensor(assumptions)] : []),
  ];
}

type Sides = MeasuredSides;
const line = (
  source: string,
  [a, b]: readonly [number | null, number | null],
  from: string,
  counted: boolean,
  degreesOfFreedom: number | null,
): BudgetLine => ({ source, a, b, from, counted, degreesOfFreedom });

function withinRun(sides: Sides): BudgetLine[] {
  const parts = sides.map(({ withinRuns: all }) =>
    all.length === 0 ? null : Math.hypot(...all) / all.length,
  );
  if (parts[0] === null && parts[1] === null) return [];
  const from = "levels found in traces; contained in the scatter between runs";
  return [line("within a run", [parts[0]!, parts[1]!], from, false, null)];
}

function runToRun(sides: Sides, { per, runScatter }: KnownScatter): BudgetLine[] {
  if (per === "run" || runScatter === null) return [];
  const { standardDeviation, degreesOfFreedom, from } = runScatter;
  const parts = sides.map(({ runs }) => standardDeviation / Math.sqrt(runs)) as [number, number];
  return [line("run to run", parts, `${from}; contained in the mounts`, false, degreesOfFreedom)];
}

function repeats(sides: Sides, { per, scatter }: KnownScatter): BudgetLine[] {
  const source = per === "mount" ? "mount to mount" : "run to run";
  if (scatter === null) return [line(source, [null, null], "not known", false, null)];
  const { standardDeviation, degreesOfFreedom, from } = scatter;
  const parts = sides.map(({ means }) => standardDeviation / Math.sqrt(means.length)) as [number, number];
  return [line(source, parts, from, true, degreesOfFreedom)];
}

/** Where readings scatter by less than a third of their own step, the scatter hides in the rounding. */
const hiddenUnderShare = 0.3;

function coarseReadings(sides: Sides, { scatter }: KnownScatter): BudgetLine[] {
  const step = readingStep([...sides[0].readings, ...sides[1].readings]);
  if (step === null || scatter === null || scatter.standardDeviation >= hiddenUnderShare * step) return [];
  const part = step / Math.sqrt(12);
  return [line("rounding", [part, part], `read in steps of ${step}`, true, null)];
}

function room({ roomAccuracyC }: Assumptions): BudgetLine {
  const part = standardOfHalfWidth(roomAccuracyC) * sameThermometerShare;
  const from = `thermometer ±${roomAccuracyC} °C, the same for both: half is taken to cancel`;
  return line("room", [part, part], from, true, null);
}

function sensor({ sensorAccuracyC, sameSensor }: Assumptions): BudgetLine {
  const [a, b] = sensorAccuracyC;
  if (!sameSensor)
    return line("sensor", [standardOfHalfWidth(a), standardOfHalfWidth(b)], sensorFrom(a, b), true, null);
  const part = (standardOfHalfWidth(a) * sameSensorShare) / Math.SQRT2;
  const from = `same sensor, ±${a} °C: a fifth is taken not to cancel`;
  return line("sensor", [part, part], from, true, null);
}

const sensorFrom = (a: number, b: number): string =>
  `two chips, two sensors, ±${a} and ±${b} °C: nothing cancels`;
