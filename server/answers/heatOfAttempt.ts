import type { Attempt } from "../bench/attempt.ts";
import { attemptFiguresOf, type HeatQuestion, type HeatRun } from "../bench/heatReading.ts";
import { heatRunOf } from "../bench/heatRun.ts";
import type { HeatTrace } from "../bench/heatTrace.ts";
import { missing } from "../bench/refusal.ts";
import { type RunForecast, runForecastOf } from "../bench/runForecast.ts";
import type { Journal } from "../store/journal.ts";

export type HeatAsked = Readonly<{
  attemptId: string;
  /** The channel that is read as the temperature. */
  channel?: string | undefined;
  loadStartS?: number | undefined;
  fromS?: number | undefined;
  toS?: number | undefined;
}>;

/** What the trace of an attempt says of its heat. */
export function heatOfAttempt(journal: Journal, asked: HeatAsked): HeatRun {
  const attempt = journal.attempts.find(asked.attemptId);
  if (!attempt) throw missing("attempt");
  const read = heatReadOf(journal, attempt, asked);
  if (read === null) throw missing("temperature trace of this attempt");
  return read.run;
}

/** The same with the trace it was read from; null where there is no such temperature. */
export function heatReadOf(
  journal: Journal,
  attempt: Attempt,
  asked: Omit<HeatAsked, "attemptId"> = {},
): Readonly<{ trace: HeatTrace; run: HeatRun }> | null {
  const trace = heatTraceOf(journal, attempt.id, asked.channel ?? "temperature");
  return trace && { trace, run: heatRunOf(trace, questionOf(attempt, { attemptId: attempt.id, ...asked })) };
}

const questionOf = (attempt: Attempt, asked: HeatAsked): HeatQuestion => ({
  loadStartS: asked.loadStartS,
  fromS: asked.fromS,
  toS: asked.toS,
  ambientC: attempt.ambientC,
  powerW: attempt.powerAt === null || attempt.powerAt === "chip" ? attempt.powerW : null,
  setClockMhz: attempt.clockMhz,
  startKind: attempt.startKind,
});

const heatChannels = ["time", "ambient", "power", "clock", "load", "throttle"];

/** The channels of an attempt's trace that speak of heat; null where it has no such temperature. */
export function heatTraceOf(journal: Journal, attemptId: string, channel: string): HeatTrace | null {
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

/** The figures of an attempt that its trace can fill in. */
export function figuresFromTrace(
  journal: Journal,
  attempt: Attempt,
): ReturnType<typeof attemptFiguresOf> | null {
  const trace = heatTraceOf(journal, attempt.id, "temperature");
  return trace && attemptFiguresOf(heatRunOf(trace, questionOf(attempt, { attemptId: attempt.id })));
}
