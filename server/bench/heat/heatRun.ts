import { blockMean } from "../../numerics/blockMean.ts";
import { type LevelForecast, levelForecast, scatterOfLevel } from "../../numerics/levelForecast.ts";
import { type Saturation, saturationFit, settledAt } from "../../numerics/saturation.ts";
import { stepInCourse } from "../../numerics/stepInCourse.ts";
import { type AmbientCourse, ambientCourseOf } from "./ambientCourse.ts";
import { type CourseChange, changeSeenIn, changeToldBy, oddsOf } from "./changeUnderWay.ts";
import { cycleLevel } from "./cycleLevel.ts";
import { type HeatCycle, heatCycleOf, pulseOf } from "./heatCycle.ts";
import { heatNotes } from "./heatNotes.ts";
import {
  earliestFinalS,
  earliestLevelS,
  type HeatLevel,
  type HeatQuestion,
  type HeatRun,
  type Interval,
  startSlackS,
} from "./heatReading.ts";
import {
  between,
  type HeatTrace,
  meansOver,
  readingsOf,
  soundTemperatures,
  stepOf,
  type TimedValues,
  usualSpacing,
} from "./heatTrace.ts";
import { type LoadSpan, loadSpanOf } from "./loadSpan.ts";
import { gapsOf, type Span } from "./spans.ts";
import { heldBackMhz, throttledSpans } from "./throttling.ts";

/** The last three minutes under load are averaged (common practice). */
const usualWindowS = 180;
/** Levelled means within this of where it tends. */
const levelledC = 1;
const usualSlowS = 180;
/** A temperature under load wanders about its level for this long (common practice: fans and scheduling, a quarter of a minute). */
const memoryS = 15;

/** Level, course and end of a heat run, from its trace and whatever else is known. Anything it cannot say is null with a note. */
export function heatRunOf(trace: HeatTrace, question: HeatQuestion = {}): HeatRun {
  const sound = soundTemperatures(trace);
  const load = loadSpanOf(trace, sound, question.loadStartS ?? null);
  const window = load === undefined ? undefined : windowOf(load, question);
  const stepC = stepOf(sound.values);
  const course = courseOf(trace, sound, load, window, stepC);
  const level = levelOf(sound, course, load, window, stepC);
  const ambientC = course.ambient?.windowC ?? question.ambientC ?? null;
  const power = powerOver(trace, window, question.powerW ?? null);
  const rise = riseOf(level, ambientC, trace, window);
  const throttled = load === undefined ? [] : throttledSpans(trace, load, question);
  const run = {
    ambientC,
    load: load ?? null,
    levelledAtS: levelledAt(course, load),
    level,
    window: level === null ? null : (window ?? null),
    final: finalOf(course),
    fit: course.fit ?? null,
    cycle: course.cycle ?? null,
    change: course.change ?? null,
    tellsFromS: course.tellsFromS ?? null,
    remainderC: course.forecast?.remainder ?? null,
    settlesAtS: course.forecast?.settledLate ?? null,
    slowS: course.forecast?.slowMid ?? null,
    heldBackMhz: load === undefined ? null : heldBackMhz(trace, load, throttled),
    rise,
    resistance: resistanceOf(rise, power),
    powerW: power?.mid ?? null,
    peakC: peakOf(sound, load),
    stepC,
    throttled,
    gaps: gapsOf(trace.t, trace.temperature),
  };
  return { ...run, notes: heatNotes(run, { trace, sound, question }) };
}

/** The window asked for, else the last three minutes under load; undefined where it is too early. */
function windowOf(load: LoadSpan, { fromS, toS }: HeatQuestion): Span | undefined {
  const end = toS ?? load.toS;
  const start = fromS ?? Math.max(load.fromS, end - usualWindowS);
  const isAsked = fromS != null || toS != null;
  return isAsked || load.toS - load.fromS >= earliestLevelS ? { fromS: start, toS: end } : undefined;
}

type Course = Readonly<{
  ambient: AmbientCourse | undefined;
  fit?: Saturation | undefined;
  cycle?: HeatCycle | undefined;
  change?: CourseChange | undefined;
  forecast?: LevelForecast | undefined;
  tellsFromS?: number | undefined;
}>;

/** Twice over: the room's course needs the heatsink's time, which the fit gives. */
function courseOf(
  trace: HeatTrace,
  sound: TimedValues,
  load: LoadSpan | undefined,
  window: Span | undefined,
  stepC: number,
): Course {
  if (load === undefined) return { ambient: ambientCourseOf(trace, wholeOf(trace), usualSlowS) };
  const seen = window ?? { fromS: Math.max(load.fromS, load.toS - usualWindowS), toS: load.toS };
  const first = ambientCourseOf(trace, seen, usualSlowS);
  const rough = fitOf(loadedReadings(sound, load, first));
  const slowS = rough?.parts[rough.parts.length - 1]?.timeConstant ?? usualSlowS;
  const ambient = first && ambientCourseOf(trace, seen, Math.min(1200, Math.max(60, slowS)));
  const loaded = loadedReadings(sound, load, ambient);
  const fit = ambient === undefined ? rough : fitOf(loaded);
  const pulseS = pulseOf(trace, load);
  const cycle = heatCycleOf(loaded, fit, stepC, pulseS);
  if (cycle !== undefined) return { ambient, cycle };
  const told = pulseS === undefined ? changeToldBy(trace, load) : null;
  return told === null ? { ambient, fit, ...endOf(loaded, load, stepC) } : { ambient, change: told };
}

type End = Pick<Course, "change" | "forecast" | "tellsFromS" | "fit">;

/** The end that the readings tend to; none where they bend off their course, or where the course is too slow to tell yet. */
function endOf(loaded: TimedValues, load: LoadSpan, stepC: number): End {
  const endS = loaded.t[loaded.t.length - 1] ?? 0;
  if (endS < earliestFinalS - startSlackS || risenC(loaded) < leastRiseC) return {};
  const step = stepInCourse(loaded.t, loaded.values, scatterOfLevel(loaded.values, stepC));
  const change = changeSeenIn(step, load);
  if (change !== null) return { change, fit: undefined };
  const odds = step === undefined ? 0 : oddsOf(step);
  const others = step?.ends.map((end) => ({ ...end, weight: end.weight * odds })) ?? [];
  const forecast = levelForecast(loaded.t, loaded.values, { step: stepC, others });
  if (forecast === undefined || tellsItsEnd(forecast, endS)) return { forecast };
  return { tellsFromS: forecast.slowLate / slowestShare };
}

const risenC = (loaded: TimedValues): number => {
  const { values } = meansOver(loaded, 10);
  return (values[values.length - 1] ?? 0) - (values[0] ?? 0);
};

/** A course whose slow part may take longer than this share of what was recorded has not shown where it tends. */
const slowestShare = 0.6;
const wellKnownC = 1;

const tellsItsEnd = ({ slowLate, low, high }: LevelForecast, endS: number): boolean =>
  slowLate < slowestShare * endS || (high - low) / 2 <= wellKnownC;

const wholeOf = (trace: HeatTrace): Span => ({
  fromS: trace.t[0] ?? 0,
  toS: trace.t[trace.t.length - 1] ?? 0,
});

/** Readings under load, in seconds of load, as they would be had the room stayed as it was over the window. */
function loadedReadings(sound: TimedValues, load: Span, ambient: AmbientCourse | undefined): TimedValues {
  const under = between(sound, load.fromS, load.toS);
  return {
    t: under.t.map((seconds) => seconds - load.fromS),
    values: under.values.map((value, at) => value - (ambient?.excessAt(under.t[at] as number) ?? 0)),
  };
}

const leastRiseC = 2;
const shortestS = 3;

/** One time constant or two: the second is kept where it explains a tenth of the scatter and its part is real. */
function fitOf(loaded: TimedValues): Saturation | undefined {
  const endS = loaded.t[loaded.t.length - 1] ?? 0;
  const { t, values } = meansOver(loaded, Math.max(2, endS / 300));
  if (t.length < 10 || Math.abs((values[values.length - 1] as number) - (values[0] as number)) < leastRiseC)
    return undefined;
  const one = saturationFit(t, values, 1, shortestS, endS);
  const two = saturationFit(t, values, 2, shortestS, endS);
  if (two === undefined || one === undefined) return two ?? one;
  const [quick, slow] = two.parts;
  const isReal =
    quick !== undefined &&
    slow !== undefined &&
    quick.amplitude > 0.5 &&
    slow.amplitude > 0.5 &&
    slow.timeConstant > 1.5 * quick.timeConstant &&
    slow.timeConstant < 20 * endS;
  return isReal && two.residualDeviation < 0.95 * one.residualDeviation ? two : one;
}

const finalOf = ({ forecast }: Course): HeatRun["final"] =>
  forecast === undefined ? null : { c: forecast.level, lowC: forecast.low, highC: forecast.high };

/** The fit says when, the forecast whether: a fit to a run cut short believes too readily that it is over. */
function levelledAt({ fit, forecast }: Course, load: LoadSpan | undefined): number | null {
  if (fit === undefined || forecast === undefined || load === undefined) return null;
  if (forecast.remainder > levelledC) return null;
  return settledAt(fit, levelledC, load.toS - load.fromS) ?? null;
}

/** A temperature that swings has the mean of its cycles. */
function levelOf(
  sound: TimedValues,
  { cycle }: Course,
  load: LoadSpan | undefined,
  window: Span | undefined,
  stepC: number,
): HeatLevel | null {
  if (window === undefined || load === undefined) return null;
  return cycle === undefined ? levelOver(sound, window, stepC) : cycleLevel(sound, cycle, load, usualWindowS);
}

function levelOver(sound: TimedValues, window: Span, stepC: number): HeatLevel | null {
  const { t, values } = between(sound, window.fromS, window.toS);
  const mean = blockMean(values, { step: stepC, memory: memoryS / usualSpacing(t) });
  if (mean === undefined) return null;
  const { low, high, independent } = mean;
  const windowS = window.toS - window.fromS;
  return {
    meanC: mean.mean,
    lowC: low,
    highC: high,
    windowS,
    samples: values.length,
    independent: Math.round(independent),
  };
}

/** The power over the window, else as noted; a noted power carries no scatter. */
function powerOver(trace: HeatTrace, window: Span | undefined, notedW: number | null): Interval | null {
  const noted = notedW === null ? null : { mid: notedW, low: notedW, high: notedW };
  if (trace.power === undefined || window === undefined) return noted;
  const { values } = between(readingsOf(trace.t, trace.power), window.fromS, window.toS);
  const mean = blockMean(values, { step: stepOf(values) });
  return mean === undefined ? noted : { mid: mean.mean, low: mean.low, high: mean.high };
}

/** Level less ambient; the scatter of the two is independent. */
function riseOf(
  level: HeatLevel | null,
  ambientC: number | null,
  trace: HeatTrace,
  window: Span | undefined,
): Interval | null {
  if (level === null || ambientC === null || window === undefined) return null;
  const half = Math.hypot((level.highC - level.lowC) / 2, ambientHalf(trace, window));
  const mid = level.meanC - ambientC;
  return { mid, low: mid - half, high: mid + half };
}

function ambientHalf(trace: HeatTrace, window: Span): number {
  if (trace.ambient === undefined) return 0;
  const { values } = between(readingsOf(trace.t, trace.ambient), window.fromS, window.toS);
  const mean = blockMean(values, { step: stepOf(values) });
  return mean === undefined ? 0 : (mean.high - mean.low) / 2;
}

/** Degrees per watt: rise by power; relative uncertainties add as squares (JCGM 100:2008, 5.1.6). */
export function resistanceOf(rise: Interval | null, power: Interval | null): Interval | null {
  if (rise === null || power === null || !(power.mid > 0)) return null;
  const mid = rise.mid / power.mid;
  const half = Math.hypot(
    (rise.high - rise.low) / 2 / power.mid,
    (mid * (power.high - power.low)) / 2 / power.mid,
  );
  return { mid, low: mid - half, high: mid + half };
}

function peakOf(sound: TimedValues, load: Span | undefined): number | null {
  const { values } = load === undefined ? sound : between(sound, load.fromS, load.toS);
  return values.length === 0
    ? null
    : values.reduce((most, value) => Math.max(most, value), Number.NEGATIVE_INFINITY);
}
