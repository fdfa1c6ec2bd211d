import { courseAhead, type MomentAhead } from "../bench/heat/courseAhead.ts";
import { idleBefore } from "../bench/heat/heatCourse.ts";
import type { HeatQuestion, HeatRun } from "../bench/heat/heatReading.ts";
import { heatRunOf } from "../bench/heat/heatRun.ts";
import type { HeatTrace } from "../bench/heat/heatTrace.ts";
import { type ClockColumn, isOwnClock } from "../bench/heat/loadedClock.ts";
import { forecastFrom, type RunForecast } from "../bench/heat/runForecast.ts";
import { type SettingColumns, type TraceFigures, traceFiguresOf } from "../bench/heat/traceFigures.ts";
import { type Channel, conversionOf } from "../bench/logs/channel.ts";
import type { Attempt } from "../bench/things/attempt.ts";
import type { ChipKind } from "../bench/things/chip.ts";
import { type Chip, readLimitC } from "../bench/things/chip.ts";
import type { Journal } from "../store/file/journal.ts";

export type CourseQuestion = Readonly<{
  /** The channel that is read as the temperature; the usual one where none is named. */
  channel?: string | undefined;
  loadStartS?: number | undefined;
  fromS?: number | undefined;
  toS?: number | undefined;
}>;

export const usualChannel = "temperature";

/** What a trace says, and how warm idle was before the load; plain values, so that a worker can be asked. */
type HeatFound = Readonly<{ run: HeatRun; idleC: number | null }>;

/** All that a trace says of its attempt; `heat` is null where it has no such temperature. */
export type TraceFound = Readonly<{
  heat: HeatFound | null;
  figures: TraceFigures;
  /** Seconds from the first row to the last that was read. */
  readToS: number;
}>;

/** What the trace of an attempt says, read here and now; null where there is no trace. */
export function traceFoundIn(
  journal: Journal,
  attempt: Attempt,
  asked: CourseQuestion = {},
): TraceFound | null {
  const columns = columnsOf(journal, attempt, asked.channel ?? usualChannel);
  if (columns === null) return null;
  const { trace, setting } = columns;
  const hasHeat = trace.temperature.length > 0;
  const run = hasHeat ? heatRunOf(trace, questionOf(journal, attempt, asked)) : null;
  const isIdle = journal.workloads.find(attempt.workloadId)?.kind === "idle";
  return {
    heat: run && { run, idleC: idleBefore(trace, run) },
    figures: traceFiguresOf(trace, setting, run, { setClockMhz: attempt.clockMhz, isIdle }),
    readToS: trace.t[trace.t.length - 1] ?? 0,
  };
}

const questionOf = (
  journal: Journal,
  attempt: Attempt,
  { loadStartS, fromS, toS }: CourseQuestion,
): HeatQuestion => ({
  loadStartS,
  fromS,
  toS,
  ambientC: attempt.ambientC,
  powerW: attempt.powerAt === null || attempt.powerAt === "chip" ? attempt.powerW : null,
  setClockMhz: attempt.clockMhz,
  tempLimitC: limitOf(chipOf(journal, attempt)),
  startKind: attempt.startKind,
});

const heatChannels = ["time", "ambient", "power", "voltage", "clock", "load", "throttle", "fan"];

/** The channels of a trace that speak of heat and of the setting; the temperature is empty where it has none by that name. */
function columnsOf(
  journal: Journal,
  attempt: Attempt,
  channel: string,
): Readonly<{ trace: HeatTrace; setting: SettingColumns }> | null {
  const outline = journal.traces.outline(attempt.id);
  if (outline === undefined) return null;
  const kind = chipOf(journal, attempt)?.kind ?? "cpu";
  const columns = journal.traces.whole(attempt.id, [...heatChannels, channel]);
  const t = columns.get("time");
  if (t === undefined) return null;
  const trace: HeatTrace = {
    t,
    temperature: columns.get(channel) ?? [],
    ambient: columns.get("ambient"),
    power: columns.get("power"),
    clock: kind === "memory" ? undefined : columns.get("clock"),
    load: columns.get("load"),
    throttle: columns.get("throttle"),
    fan: columns.get("fan"),
  };
  const clocks = clockColumns(journal, attempt.id, clockNames(outline.channels, kind));
  return { trace, setting: { voltage: columns.get("voltage"), clocks } };
}

function* clockColumns(
  { traces }: Journal,
  attemptId: string,
  names: readonly ClockName[],
): Generator<ClockColumn> {
  for (const { clock, load, factor } of names) {
    const columns = traces.whole(attemptId, load === null ? [clock] : [clock, load]);
    const values = columns.get(clock);
    const mhz = factor === 1 ? values : values?.map((value) => value * factor);
    if (mhz) yield { channel: clock, mhz, loadPercent: columns.get(load ?? "") ?? null };
  }
}

type ClockName = Readonly<{ clock: string; load: string | null; factor: number }>;

/** The channels that are clocks of the chip, each with the load of the core of the same number. */
function clockNames(channels: readonly Channel[], kind: ChipKind): readonly ClockName[] {
  const numberIn = (name: string): string | undefined => /\d+/.exec(name)?.[0];
  const loads = channels.filter(({ unit }) => unit === "%");
  return channels.flatMap(({ channel, unit }): ClockName[] => {
    if (!isHertz(unit) || !isOwnClock(channel, kind)) return [];
    const core = numberIn(channel);
    const load = loads.find((one) => core !== undefined && numberIn(one.channel) === core)?.channel ?? null;
    return [{ clock: channel, load, factor: conversionOf("clock", unit)?.factor ?? 1 }];
  });
}

const isHertz = (unit: string): boolean => unit !== "" && conversionOf("clock", unit) !== undefined;

const chipOf = (journal: Journal, attempt: Attempt) =>
  journal.chips.find(journal.builds.find(attempt.buildId)?.chipId ?? "");

export type RunAhead = Readonly<{
  forecast: RunForecast;
  /** Its course until it settles; null where no end is forecast. */
  course: readonly MomentAhead[] | null;
}>;

/** What a run that still goes on would come to, by what its trace said; null where that has no temperature. */
export function forecastOfRun(journal: Journal, attempt: Attempt, found: TraceFound | null): RunAhead | null {
  const run = found?.heat?.run;
  if (run === undefined) return null;
  const forecast = forecastFrom(run, questionOf(journal, attempt, {}));
  return { forecast, course: forecast.state === "forecast" ? courseAhead(run) : null };
}

const limitOf = (chip: Chip | undefined | null): number | null => (chip ? readLimitC(chip) : null);
