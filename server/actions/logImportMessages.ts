import type { ColumnMatch } from "../bench/logs/columnMatch.ts";
import type { LogLimits } from "../bench/logs/logLimits.ts";
import type { FieldRefusals, RefusalCode } from "../bench/things/refusal.ts";
import type { TableTold } from "../csv/logShape.ts";
import type { Remark } from "../csv/rowChunk.ts";
import type { PackedTrace } from "../store/traces/tracePacking.ts";
import type { GivenAnswer, KeyedRequest } from "./answerOnce.ts";

/** Where the worker keeps the trace itself; without it, the packed trace comes back to be kept by whoever asked. */
export type LogKeeping = Readonly<{
  journalFile: string;
  migrations: string;
  attemptId: string;
  now: string;
  /** The request it came with, where that carries a key, and what it said besides the log. */
  keyed?: Readonly<{ request: KeyedRequest; said: string }> | null;
}>;

export type LogJob = Readonly<{
  limits: LogLimits;
  keep: LogKeeping | null;
  /** Where its table begins, where that was said. */
  table?: TableTold | undefined;
}>;

export type ToLogWorker =
  | Readonly<{ kind: "bytes"; bytes: Uint8Array }>
  | Readonly<{ kind: "end" }>
  | Readonly<{ kind: "matches"; matches: readonly ColumnMatch[] }>
  /** The journal is the worker's alone from now on. */
  | Readonly<{ kind: "keep" }>
  | Readonly<{ kind: "stop" }>;

/** What a log turned out to hold. Times in seconds from the first row; lines counted from 1. */
export type ImportedLog = Readonly<{
  rows: number;
  fromS: number;
  toS: number;
  channels: readonly Readonly<{ channel: string; unit: string }>[];
  skipped: readonly Remark[];
  /** Lines whose time was straightened: midnight, daylight saving, a time that starts over. */
  adjusted: readonly Remark[];
  names: readonly string[];
  /** Whether the names stand in the log itself. */
  isNamed: boolean;
  matches: readonly ColumnMatch[];
  /** When the first row was taken, where the log says so. */
  startedAt: string | null;
  /** The same by a clock without a zone, as it showed. */
  startedAtLocal: string | null;
}>;

/** What is answered to whoever sent it. */
export const answerOfLog = ({
  names: _names,
  isNamed: _isNamed,
  matches: _matches,
  fromS: from,
  toS: to,
  ...log
}: ImportedLog) => ({
  ...log,
  from,
  to,
});

export type FromLogWorker =
  | Readonly<{ kind: "more" }>
  | Readonly<{ kind: "header"; names: readonly string[]; proposal: readonly ColumnMatch[] }>
  /** All is read; the journal is wanted. */
  | Readonly<{ kind: "keeping" }>
  | Readonly<{ kind: "progress"; bytes: number; rows: number }>
  | Readonly<{ kind: "done"; log: ImportedLog; trace: PackedTrace | null; given: GivenAnswer | null }>
  | Readonly<{ kind: "refused"; code: RefusalCode; message: string; fields: FieldRefusals }>
  | Readonly<{ kind: "failed"; message: string }>;
