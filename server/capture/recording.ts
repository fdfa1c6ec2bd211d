import { keepSamples } from "../actions/samples.ts";
import { fillFromTrace } from "../actions/traceFigures.ts";
import type { Channel } from "../bench/logs/channel.ts";
import type { Sensor, SensorChoice } from "../bench/logs/sensor.ts";
import type { Attempt } from "../bench/things/attempt.ts";
import type { SentSamples } from "../csv/sampleLines.ts";
import { readingsFrom, sensorsIn } from "../kernel/hwmon.ts";
import type { Journal } from "../store/file/journal.ts";

export type RecordingOf = Readonly<{
  journal: Journal;
  now(): string;
  /** The folder of the kernel's sensors. */
  root: string;
  /** Told of a fault, once until the next row is kept. */
  complain(fault: unknown): void;
}>;

/** Reads the chosen sensors into the attempt that runs. Whoever starts it calls `tick` once a second, and `flush` at the end. */
export type Recording = Readonly<{ tick(): Promise<void>; flush(): Promise<void> }>;

type Row = Readonly<{ t: number; values: ReadonlyMap<string, number> }>;
type Batch = Readonly<{ attemptId: string; rows: Row[] }>;

/** Rows are written a few seconds at a time: each write waits for the disk. */
const rowsTogether = 5;
/** What cannot be written is held this long, then the oldest is let go. */
const mostHeld = 600;
/** Devices come and go with sleep and hot-plugging. */
const ticksBetweenLooks = 30;

export function recordingOf({ journal, now, root, complain }: RecordingOf): Recording {
  let batch: Batch | null = null;
  let sensors: readonly Sensor[] = [];
  const units = new Map<string, string>();
  let untilLook = 0;
  let isBusy = false;
  let hasComplained = false;

  async function flush(): Promise<void> {
    const sent = batch;
    if (sent === null || sent.rows.length === 0) return;
    const rows = [...sent.rows];
    await journal.write(() => keepRows(sent.attemptId, rows, { journal, now: now() }));
    sent.rows.splice(0, rows.length);
    hasComplained = false;
  }

  async function tick(): Promise<void> {
    // A read that hangs must not pile up others behind it.
    if (isBusy) return;
    isBusy = true;
    try {
      await second();
    } catch (fault) {
      if (!hasComplained) complain(fault);
      hasComplained = true;
    } finally {
      isBusy = false;
    }
  }

  async function second(): Promise<void> {
    const choices = journal.captureSensors.recorded();
    const attempt = choices.length === 0 ? undefined : armedIn(journal);
    if (batch !== null && batch.attemptId !== attempt?.id) {
      await flush();
      batch = null;
    }
    if (attempt === undefined) return;
    batch ??= { attemptId: attempt.id, rows: [] };
    const row = await rowOf(attempt, choices);
    if (row !== null) batch.rows.push(row);
    if (batch.rows.length > mostHeld) batch.rows.splice(0, batch.rows.length - mostHeld);
    if (batch.rows.length >= rowsTogether) await flush();
  }

  /** Null while none of the sensors answers; one that vanished leaves a gap in its own channel alone. */
  async function rowOf(attempt: Attempt, choices: readonly SensorChoice[]): Promise<Row | null> {
    const wanted = await sensorsOf(choices);
    const t = Math.round((Date.parse(now()) - Date.parse(attempt.startedAt)) / 100) / 10;
    const channelOf = new Map(choices.map(({ sensor, channel }) => [sensor, channel]));
    const readings = await readingsFrom(wanted);
    if (readings.length < choices.length) untilLook = Math.min(untilLook, ticksBetweenLooks / 6);
    if (readings.length === 0 || t < 0) return null;
    return {
      t,
      values: new Map(readings.map(({ sensor, value }) => [channelOf.get(sensor.id) ?? "", value])),
    };
  }

  async function sensorsOf(choices: readonly SensorChoice[]): Promise<readonly Sensor[]> {
    if (untilLook <= 0) {
      sensors = await sensorsIn(root);
      for (const { id, unit } of sensors) units.set(id, unit);
      untilLook = ticksBetweenLooks;
    }
    untilLook -= 1;
    const chosen = new Set(choices.map(({ sensor }) => sensor));
    return sensors.filter(({ id }) => chosen.has(id));
  }

  function keepRows(attemptId: string, rows: readonly Row[], at: { journal: Journal; now: string }): void {
    const attempt = journal.attempts.find(attemptId);
    if (attempt === undefined) return;
    keepSamples(attemptId, samplesOf(rows, units, journal.captureSensors.chosen()), at);
    // The last rows come after the ending.
    if (attempt.outcome !== "running") fillFromTrace(attemptId, at);
  }

  return { tick, flush };
}

/** One machine runs one attempt; of several, the one armed last is the one meant. */
const armedIn = ({ attempts, interrupted }: Journal): Attempt | undefined =>
  attempts.running().find(({ id }) => !interrupted.has(id));

function samplesOf(
  rows: readonly Row[],
  units: ReadonlyMap<string, string>,
  choices: readonly SensorChoice[],
): SentSamples {
  const channels = choices
    .filter(({ channel }) => rows.some(({ values }) => values.has(channel)))
    .map(({ sensor, channel }): Channel => ({ channel, unit: units.get(sensor) ?? "" }));
  return {
    channels,
    t: rows.map(({ t }) => t),
    values: channels.map(({ channel }) => rows.map(({ values }) => values.get(channel) ?? Number.NaN)),
    skipped: [],
  };
}
