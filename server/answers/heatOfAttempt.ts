import { idleBefore } from "../bench/heat/heatCourse.ts";
import { attemptFiguresOf, type HeatQuestion, type HeatRun } from "../bench/heat/heatReading.ts";
import { heatRunOf } from "../bench/heat/heatRun.ts";
import type { HeatTrace } from "../bench/heat/heatTrace.ts";
import { type RunForecast, runForecastOf } from "../bench/heat/runForecast.ts";
import type { Attempt } from "../bench/things/attempt.ts";
import type { Journal } from "../store/file/journal.ts";

export type HeatAsked = Readonly<{
  /** The channel that is read as the temperature. */
  channel?: string | undefined;
  loadStartS?: number | undefined;
  fromS?: number | undefined;
  toS?: number | undefined;
}>;

/** What a trace says, and how warm idle was before the load; plain values, so that a worker can be asked. */
export type HeatFound = Readonly<{ run: HeatRun; idleC: number | null }>;

/** What the trace of an attempt says of its heat, read here and now; null where there is no such temperature. */
export function heatFoundIn(journal: Journal, attempt: Attempt, asked: HeatAsked = {}): HeatFound | null {
  const trace = heatTraceOf(journal, attempt.id, asked.channel ?? "temperature");
  if (trace === null) return null;
  const run = heatRunOf(trace, questionOf(attempt, asked));
  return { run, idleC: idleBefore(trace, run) };
}

const questionOf = (attempt: Attempt, { loadStartS, fromS, toS }: HeatAsked): HeatQuestion => ({
  loadStartS,
  fromS,
  toS,
  ambientC: attempt.ambientC,
  powerW: attempt.powerAt === null || attempt.powerAt === "chip" ? attempt.powerW : null,
  setClockMhz: attempt.clockMhz,
  startKind: attempt.startKind,
});

const heatChannels = ["time", "ambient", "power", "clock", "load", "throttle"];

/** The channels of an attempt's trace that speak of heat; null where it has no such temperature. */
function heatTraceOf(journal: Journal, attemptId: string, channel: string): HeatTrace | null {
  const columns = journal.traces.whole(attemptId, [...heatChannels, channel]);
  const [t, temperature] = [columns.get("time"), columns.get(channel)];
  if (!t || !temperature) return null;
  return {
    t,
    temperature,
    ambient: columns.get("ambient"),
    power: columns.get("power"),
    clock: columns.get("clock"),
    load: columns.get("load"),
    throttle: columns.get("throttle"),
  };
}

/** What a run that still goes on would come to; null where no temperature has come in. */
export function forecastOfRun(journal: Journal, attempt: Attempt): RunForecast | null {
  const trace = heatTraceOf(journal, attempt.id, "temperature");
  const chip = journal.chips.find(journal.builds.find(attempt.buildId)?.chipId ?? "");
  return trace && runForecastOf(trace, { tempLimitC: chip?.tempLimitC ?? null });
}

export type TraceFigures = ReturnType<typeof attemptFiguresOf>;

/** The figures of an attempt that its trace can fill in. */
export function figuresFromTrace(journal: Journal, attempt: Attempt): TraceFigures | null {
  const found = heatFoundIn(journal, attempt);
  return found && attemptFiguresOf(found.run);
}
