import { heatRunOf } from "../../server/bench/heat/heatRun.ts";
import { runForecastOf } from "../../server/bench/heat/runForecast.ts";
import { type HeatKind, heatKinds, isUndisturbed, kindRun, setClockMhz } from "./heatKinds.ts";

export type KindSummary = Readonly<{
  kind: HeatKind;
  runs: number;
  given: number;
  held: number;
  /** How often "you may stop" was said, and how often it was wrong by over 2 °C. */
  stops: number;
  wrongStops: number;
}>;

/** How so many runs of each kind are read after so many seconds of load, beside the end they were made to have. */
export const kindSummaries = (runs: number, underS: number, seed: number): readonly KindSummary[] =>
  heatKinds.map((kind) => {
    const read = Array.from({ length: runs }, (_, i) => {
      const one = kindRun(kind, underS, seed + 7919 * i);
      const question = { setClockMhz, tempLimitC: 95 };
      return {
        endC: one.endC,
        run: heatRunOf(one.trace, question),
        told: runForecastOf(one.trace, question),
      };
    });
    const given = read.flatMap(({ run, endC }) => (run.final === null ? [] : [{ ...run.final, endC }]));
    const stops = read.flatMap(({ told, endC }) =>
      told.state === "forecast" && told.sentence.includes("you may stop") ? [told.finalC - endC] : [],
    );
    return {
      kind,
      runs,
      given: given.length,
      held: given.filter(({ lowC, highC, endC }) => lowC <= endC && endC <= highC).length,
      stops: stops.length,
      wrongStops: stops.filter((off) => Math.abs(off) > 2).length,
    };
  });

export const undisturbedGiven = (summaries: readonly KindSummary[]): number => {
  const calm = summaries.filter(({ kind }) => isUndisturbed(kind));
  return calm.reduce((sum, { given }) => sum + given, 0) / calm.reduce((sum, { runs }) => sum + runs, 0);
};
