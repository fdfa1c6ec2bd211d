import { expect, it } from "vitest";
import { courseAhead } from "../../server/bench/heat/courseAhead.ts";
import { fittedCourse, idleBefore } from "../../server/bench/heat/heatCourse.ts";
import { type HeatQuestion, heatAnswerOf } from "../../server/bench/heat/heatReading.ts";
import { heatRunOf } from "../../server/bench/heat/heatRun.ts";
import { heatSentenceOf } from "../../server/bench/heat/heatSentence.ts";
import type { HeatTrace } from "../../server/bench/heat/heatTrace.ts";
import { forecastFrom } from "../../server/bench/heat/runForecast.ts";
import { traceFiguresOf } from "../../server/bench/heat/traceFigures.ts";
import { type SeededRandom, seededRandom } from "../../server/numerics/seededRandom.ts";
import { type HeatKind, heatKinds, kindRun, setClockMhz } from "../support/heatKinds.ts";
import { oneOf } from "./chosen.ts";
import { toldOf } from "./told.ts";

type Column = ArrayLike<number>;

const eachColumn = (trace: HeatTrace, make: (column: Column, name: string) => Float64Array): HeatTrace =>
  Object.fromEntries(
    Object.entries(trace).map(([name, column]) => [name, make(column as Column, name)]),
  ) as unknown as HeatTrace;

const rowsOf = (trace: HeatTrace, keeps: (row: number) => boolean): HeatTrace =>
  eachColumn(trace, (column) => Float64Array.from(column).filter((_, row) => keeps(row)));

/** What a log may leave out of a run, or go on to. */
const logged: Readonly<Record<string, (trace: HeatTrace, loadStartS: number) => HeatTrace>> = {
  whole: (trace) => trace,
  "every five seconds": (trace) => rowsOf(trace, (row) => row % 5 === 0),
  "every twenty seconds": (trace) => rowsOf(trace, (row) => row % 20 === 0),
  "begun late": (trace, loadStartS) => rowsOf(trace, (row) => row > loadStartS + 15),
  "with a gap": (trace, loadStartS) =>
    rowsOf(trace, (row) => row < loadStartS + 200 || row > loadStartS + 245),
  "in whole degrees": (trace) =>
    eachColumn(trace, (column, name) =>
      name === "temperature" ? Float64Array.from(column, Math.round) : Float64Array.from(column),
    ),
  "of temperature alone": ({ t, temperature }) => ({ t, temperature }),
  "telling where it was held back": (trace) => ({
    ...trace,
    throttle: Float64Array.from(trace.t, (s, row) =>
      trace.clock === undefined ? (s % 400 > 340 ? 1 : 0) : (trace.clock[row] as number) < 4650 ? 1 : 0,
    ),
  }),
  "gone on past its load": (trace) => withEnd(trace, 150),
};

/** Idle for so many seconds more: it cools to what it began from. */
function withEnd(trace: HeatTrace, seconds: number): HeatTrace {
  return eachColumn(trace, (column, name) => {
    const [first, last] = [column[0] as number, lastOf(column)];
    const more = Array.from({ length: seconds }, (_, s) =>
      name === "t"
        ? last + s + 1
        : name === "temperature"
          ? first + (last - first) * Math.exp(-s / 40)
          : first,
    );
    return Float64Array.from([...Array.from(column), ...more]);
  });
}

const lastOf = (column: Column): number =>
  Array.from(column)
    .reverse()
    .find((value) => value > 0) as number;

const question = (random: SeededRandom, loadStartS: number): HeatQuestion => ({
  ...(random.uniform() < 0.7 && { setClockMhz }),
  ...(random.uniform() < 0.3 && { loadStartS }),
  ...(random.uniform() < 0.5 && { ambientC: 18 + random.index(10) }),
  ...(random.uniform() < 0.3 && { powerW: 120 }),
  ...(random.uniform() < 0.5 && { tempLimitC: 70 + random.index(30) }),
  ...(random.uniform() < 0.5 && { startKind: oneOf(random, ["cold", "warm", "restart"] as const) }),
  ...(random.uniform() < 0.2 && { fromS: 200, toS: 320 }),
});

function told(kind: HeatKind, seed: number): string {
  const random = seededRandom(seed);
  const underS = oneOf(random, [150, 310, 420, 700, 1300, 1900]);
  const { trace, loadStartS } = kindRun(kind, underS, seed);
  const how = oneOf(random, ["whole", "whole", ...Object.keys(logged)]);
  const read = (logged[how] as (typeof logged)[string])(trace, loadStartS);
  const asked = question(random, loadStartS);
  const run = heatRunOf(read, asked);
  const loadPercent = read.load ?? null;
  const clocks =
    read.clock === undefined
      ? []
      : [1, 0.997, oneOf(random, [1, 0.9])].map((share, core) => ({
          channel: `core ${core}`,
          mhz: Float64Array.from(read.clock as Column, (mhz) => share * mhz),
          loadPercent: core === 1 ? null : loadPercent,
        }));
  const isIdle = random.uniform() < 0.1;
  return [
    `## ${kind}, ${underS} s, ${how}, ${JSON.stringify(asked)}`,
    toldOf({
      ...heatAnswerOf(run),
      sentence: heatSentenceOf(run),
      forecast: forecastFrom(run, asked),
      idleBefore: idleBefore(read, run),
      course: run.load && fittedCourse(run, { fromS: run.load.fromS, toS: run.load.toS }, 7),
      ahead: courseAhead(run, 6),
      figures: traceFiguresOf(read, { clocks }, run, { setClockMhz: asked.setClockMhz ?? null, isIdle }),
    }),
  ].join("\n");
}

it("a run of each kind, however it was logged, is read as before", async () => {
  const runs = heatKinds.flatMap((kind, at) =>
    Array.from({ length: 8 }, (_, nth) => told(kind, 300 + 10 * at + nth)),
  );
  await expect(runs.join("\n\n")).toMatchFileSnapshot("answers/heat.txt");
});
