import { forecastOfRun, type RunAhead } from "../../answers/heatOfAttempt.ts";
import type { Attempt } from "../../bench/things/attempt.ts";
import { readLimitC } from "../../bench/things/chip.ts";
import type { Journal } from "../../store/file/journal.ts";

/** What has been recorded of a run that goes on, and what it would come to. */
export type LiveShown = Readonly<{
  attemptId: string;
  isRunning: boolean;
  /** Whether this machine's own sensors are meant to be recorded. */
  isRecorded: boolean;
  curve: LiveCurve | null;
}>;

export type LiveCurve = Readonly<{
  rows: number;
  /** Seconds since the attempt began, and the mean of each column. */
  points: readonly (readonly [number, number])[];
  lastC: number | null;
  lastS: number;
  /** How long no sample has come in. */
  silentS: number;
  tempLimitC: number | null;
  /** Null where no temperature says anything yet. */
  ahead: RunAhead | null;
}>;

const columnsDrawn = 240;

export function liveShown(journal: Journal, attempt: Attempt, now: string): LiveShown {
  return {
    attemptId: attempt.id,
    isRunning: attempt.outcome === "running",
    isRecorded: journal.captureSensors.recorded().length > 0,
    curve: curveOf(journal, attempt, now),
  };
}

function curveOf(journal: Journal, attempt: Attempt, now: string): LiveCurve | null {
  const outline = journal.traces.outline(attempt.id);
  const window = journal.traces.window(attempt.id, { channels: ["temperature"], points: columnsDrawn });
  const [series] = window?.series ?? [];
  if (!outline || !window || !series) return null;
  const points = Array.from(window.t, (at, i) => [at, series.mean[i] as number] as const).filter(
    ([, value]) => Number.isFinite(value),
  );
  const chip = journal.chips.find(journal.builds.find(attempt.buildId)?.chipId ?? "");
  return {
    rows: outline.rows,
    points,
    lastC: points.at(-1)?.[1] ?? null,
    lastS: outline.toS,
    silentS: Math.max(0, (Date.parse(now) - Date.parse(attempt.startedAt)) / 1000 - outline.toS),
    tempLimitC: chip ? readLimitC(chip) : null,
    ahead: forecastOfRun(journal, attempt),
  };
}
