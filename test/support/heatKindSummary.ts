import { heatRunOf } from "../../server/bench/heat/heatRun.ts";
import { forecastFrom } from "../../server/bench/heat/runForecast.ts";
import { type HeatKind, heatKinds, isUndisturbed, kindRun, setClockMhz } from "./heatKinds.ts";

export type KindSummary = Readonly<{
  kind: HeatKind;
  runs: number;
  given: number;
  held: number;
  /** The median half-width of the ends given; NaN where none is. */
  halfWidthC: number;
  /** How often "you may stop" was said, and how often it was wrong by over 2 °C. */
  stops: number;
  wrongStops: number;
}>;

/** How so many runs of each kind are read after so many seconds of load, beside the end they were made to have. */
export const kindSummaries = (runs: number, underS: number, seed: number): readonly KindSummary[] =>
  heatKinds.map((kind) => kindSummary(kind, runs, underS, seed));

function kindSummary(kind: HeatKind, runs: number, underS: number, seed: number): KindSummary {
  const read = Array.from({ length: runs }, (_, i) => {
    const one = kindRun(kind, underS, seed + 7919 * i);
    const question = { setClockMhz, tempLimitC: 95 };
    const run = heatRunOf(one.trace, question);
    return { endC: one.endC, run, told: forecastFrom(run, question) };
  });
  const given = read.flatMap(({ run, endC }) => (run.final === null ? [] : [{ ...run.final, endC }]));
  const stops = read.flatMap(({ told, endC }) =>
    told.state === "forecast" && told.sentence.includes("you may stop") ? [told.finalC - endC] : [],
  );
  return {
    kind,
    runs,
    given: given.length,
    halfWidthC: medianOf(given.map(({ lowC, highC }) => (highC - lowC) / 2)),
    held: given.filter(({ lowC, highC, endC }) => lowC <= endC && endC <= highC).length,
    stops: stops.length,
    wrongStops: stops.filter((off) => Math.abs(off) > 2).length,
  };
}

const medianOf = (values: readonly number[]): number =>
  values.toSorted((a, b) => a - b)[Math.floor(values.length / 2)] ?? Number.NaN;

export const undisturbedGiven = (summaries: readonly KindSummary[]): number => {
  const calm = summaries.filter(({ kind }) => isUndisturbed(kind));
  return calm.reduce((sum, { given }) => sum + given, 0) / calm.reduce((sum, { runs }) => sum + runs, 0);
};
