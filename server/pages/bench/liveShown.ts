import { forecastOfRun, type RunAhead } from "../../answers/heatOfAttempt.ts";
import { type HeatRooms, traceSoFar } from "../../answers/heatReckoned.ts";
import type { Attempt } from "../../bench/things/attempt.ts";
import { readLimitC } from "../../bench/things/chip.ts";
import type { Tone } from "../../html/plot.ts";
import { lookOf } from "../kit/buildLooks.ts";

/** What has been recorded of a run that goes on, and what it would come to. */
export type LiveShown = Readonly<{
  attemptId: string;
  isRunning: boolean;
  /** Whether this machine's own sensors are meant to be recorded. */
  isRecorded: boolean;
  /** Whether the machine under test tells of itself. */
  isTold: boolean;
  curve: LiveCurve | null;
}>;

export type LiveCurve = Readonly<{
  /** The hue of its build. */
  tone: Tone;
  rows: number;
  /** Seconds since the attempt began, and the mean of each column. */
  points: readonly (readonly [number, number])[];
  lastC: number | null;
  lastS: number;
  /** How long no sample has come in. */
  silentS: number;
  tempLimitC: number | null;
  /** Null where no temperature says anything yet, and until the trace was read for the first time. */
  ahead: RunAhead | null;
  /** Whether it is being read, for the first time or anew. */
  isAwaited: boolean;
}>;

const columnsDrawn = 240;

export function liveShown(rooms: HeatRooms, attempt: Attempt, now: string): LiveShown {
  return {
    attemptId: attempt.id,
    isRunning: attempt.outcome === "running",
    isRecorded: rooms.journal.captureSensors.recorded().length > 0,
    isTold: rooms.journal.attempts.lastHeartbeat(attempt.id, "machine") !== undefined,
    curve: curveOf(rooms, attempt, now),
  };
}

function curveOf(rooms: HeatRooms, attempt: Attempt, now: string): LiveCurve | null {
  const { journal } = rooms;
  const outline = journal.traces.outline(attempt.id);
  const window = journal.traces.window(attempt.id, { channels: ["temperature"], points: columnsDrawn });
  const [series] = window?.series ?? [];
  if (!outline || !window || !series) return null;
  const points = Array.from(window.t, (at, i) => [at, series.mean[i] as number] as const).filter(
    ([, value]) => Number.isFinite(value),
  );
  const soFar = traceSoFar(rooms, attempt);
  const chip = journal.chips.find(journal.builds.find(attempt.buildId)?.chipId ?? "");
  return {
    tone: lookOf(journal.builds.all(), attempt.buildId).tone,
    rows: outline.rows,
    points,
    lastC: points.at(-1)?.[1] ?? null,
    lastS: outline.toS,
    silentS: Math.max(0, (Date.parse(now) - Date.parse(attempt.startedAt)) / 1000 - outline.toS),
    tempLimitC: chip ? readLimitC(chip) : null,
    ahead: forecastOfRun(journal, attempt, soFar?.found ?? null),
    isAwaited: soFar?.isNewest !== true,
  };
}
