import { conflict } from "../bench/things/refusal.ts";
import { mostSampledChannels, type SentSamples } from "../csv/sampleLines.ts";
import { keepHeartbeat } from "./attempts.ts";
import type { At } from "./context.ts";
import { found } from "./keeping.ts";

export type KeptSamples = Readonly<{ kept: number; known: number; skipped: SentSamples["skipped"] }>;

/** Adds rows to the trace of an attempt; times that are there already change nothing. While it runs they are its heartbeat. */
export function keepSamples(attemptId: string, samples: SentSamples, at: At): KeptSamples {
  const { journal, now } = at;
  const attempt = found(journal.attempts.find(attemptId), "attempt");
  if (attempt.outcome !== "running" && journal.traces.outline(attemptId)?.source === "log")
    throw conflict("This attempt has an imported log; samples are added to a running attempt.");
  assertRoomFor(samples, attemptId, at);
  const kept = samples.t.length === 0 ? 0 : journal.traces.append(attemptId, samples, attempt.startedAt, now);
  if (kept > 0) journal.attempts.noteHanging(attemptId, "trace", now);
  if (attempt.outcome === "running" && samples.t.length > 0)
    keepHeartbeat(
      attemptId,
      {
        elapsedS: samples.t.reduce((most, t) => Math.max(most, t), 0),
        from: "machine",
        ...latestOf(samples),
      },
      at,
    );
  return { kept, known: samples.t.length - kept, skipped: samples.skipped };
}

/** Channels come line by line, so the count is kept over all that was ever sent. */
function assertRoomFor({ channels }: SentSamples, attemptId: string, { journal }: At): void {
  const names = new Set(journal.traces.outline(attemptId)?.channels.map(({ channel }) => channel));
  for (const { channel } of channels) names.add(channel);
  if (names.size > mostSampledChannels)
    throw conflict(`The trace of an attempt has at most ${mostSampledChannels} channels; nothing was kept.`);
}

/** The last temperature and power among the rows, for the running page. */
function latestOf(samples: SentSamples): { tempC?: number; powerW?: number } {
  const last = (channel: string): number | undefined =>
    samples.values[samples.channels.findIndex((one) => one.channel === channel)]?.findLast(Number.isFinite);
  const [tempC, powerW] = [last("temperature"), last("power")];
  return {
    ...(tempC !== undefined && tempC > -100 && tempC < 200 && { tempC }),
    ...(powerW !== undefined && powerW >= 0 && powerW <= 5000 && { powerW }),
  };
}
