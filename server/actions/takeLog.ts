import path from "node:path";
import { figuresOf } from "../answers/heatReckoned.ts";
import type { Reckonings } from "../answers/reckoned.ts";
import type { ColumnMatch } from "../bench/logs/columnMatch.ts";
import { usualLogLimits } from "../bench/logs/logLimits.ts";
import type { TableTold } from "../csv/logShape.ts";
import type { Journal } from "../store/file/journal.ts";
import type { KeyedRequest } from "./answerOnce.ts";
import { importLog, type LogTaken } from "./importLog.ts";
import { fillFromTrace } from "./traceFigures.ts";

/** What taking a log stands on: the journal, the folder of the worker that reads, and the reckoner of its heat. */
export type LogTaking = Readonly<{
  journal: Journal;
  now(): string;
  reckonings: Reckonings;
  workers: string;
  migrations: string;
}>;

/** Reads a log into the attempt's trace in a worker, and fills in what nobody typed. What columns meant is remembered. */
export async function takeLog(
  context: LogTaking,
  attemptId: string,
  source: AsyncIterable<Buffer>,
  columns: readonly ColumnMatch[] | null,
  {
    request = null,
    ...more
  }: Readonly<{
    request?: KeyedRequest | null;
    /** Where its table begins, where that was said. */
    table?: TableTold | undefined;
    signal?: AbortSignal;
    onProgress?: (progress: { bytes: number; rows: number }) => void;
  }> = {},
): Promise<LogTaken> {
  const { journal, now, workers, migrations } = context;
  journal.assertGoing();
  const taken = await importLog(path.join(workers, "logImport.cjs"), {
    source,
    holdWrites: () => {
      journal.assertGoing();
      return journal.holdWrites();
    },
    limits: usualLogLimits,
    keep: {
      ...{ journalFile: journal.file, migrations, attemptId, now: now() },
      keyed: request && { request, said: JSON.stringify(columns) },
    },
    matchesFor: (names, proposal) => columns ?? journal.traces.matchesFor(names) ?? proposal,
    ...more,
  });
  if (taken.given?.isRepeat) return taken;
  const attempt = journal.attempts.find(attemptId);
  const figures = attempt ? await figuresOf(context, attempt) : null;
  await journal.write(() => {
    if (columns !== null && taken.log.isNamed)
      journal.traces.keepMatches(taken.log.names, settled(taken.log.matches), now());
    fillFromTrace(attemptId, { journal, now: now() }, figures);
  });
  return taken;
}

/** That an unlikely length was meant is said of one log, not of all with its header. */
const settled = (matches: readonly ColumnMatch[]): readonly ColumnMatch[] =>
  matches.map(({ sure: _, ...match }) => match);
