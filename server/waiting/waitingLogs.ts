import { createHash, type Hash } from "node:crypto";
import { createReadStream, createWriteStream, readdirSync, rmSync } from "node:fs";
import path from "node:path";
import type { Readable } from "node:stream";
import { pipeline } from "node:stream/promises";
import type { LogTaken } from "../actions/importLog.ts";
import { type LogTaking, takeLog } from "../actions/takeLog.ts";
import type { ColumnMatch } from "../bench/logs/columnMatch.ts";
import type { ColumnGlimpse } from "../bench/logs/columnProposal.ts";
import { tooManyBytes, usualLogLimits } from "../bench/logs/logLimits.ts";
import { conflict, invalid, missing, Refusal } from "../bench/things/refusal.ts";
import type { TableTold } from "../csv/logShape.ts";
import { firstLinesOf, openSensorLog } from "../csv/sensorLog.ts";
import { tableGuessOf } from "../csv/tableGuess.ts";
import { msOfId } from "../store/rows/ids.ts";

type LogState =
  /** No table was seen in it: somebody must say where it begins. */
  | Readonly<{ kind: "untabled"; because: string }>
  | Readonly<{ kind: "matching" }>
  | { kind: "reading"; bytes: number; rows: number; readonly stop: AbortController }
  | Readonly<{ kind: "done"; taken: LogTaken }>
  | Readonly<{ kind: "failed"; error: unknown }>;

/** A log that was sent and waits for the meaning of its columns, or is being read. */
export type WaitingLog = {
  readonly id: string;
  readonly attemptId: string;
  readonly file: string;
  readonly bytes: number;
  /** Tells it from any other log. */
  readonly print: string;
  readonly names: readonly string[];
  readonly columns: readonly ColumnGlimpse[];
  readonly proposal: readonly ColumnMatch[];
  readonly isRemembered: boolean;
  /** Its first lines, cut short, and where its table begins: as said, else as it seems. */
  readonly firstLines: readonly string[];
  readonly table: TableTold | undefined;
  state: LogState;
};

const keptMinutes = 30;
const mostWaiting = 4;

export type WaitingLogs = ReturnType<typeof waitingLogsOf>;

/** Keeps sent logs beside the journal, where there is room for them, until they are read, given up or too old. */
export function waitingLogsOf(context: LogTaking) {
  const { journal, now } = context;
  const folder = path.dirname(journal.file);
  const prefix = `.${path.basename(journal.file)}.log-`;
  const logs = new Map<string, WaitingLog>();
  const timers = new Map<string, NodeJS.Timeout>();
  sweep();

  /** What a crash left behind. A log not yet too old may wait for another server on this folder. */
  function sweep(): void {
    const oldest = Date.parse(now()) - keptMinutes * 60_000;
    for (const name of readdirSync(folder))
      if (name.startsWith(prefix) && msOfId(name.slice(prefix.length)) < oldest)
        rmSync(path.join(folder, name), { force: true });
  }

  function forget(id: string): void {
    const log = logs.get(id);
    if (log === undefined) return;
    if (log.state.kind === "reading") log.state.stop.abort(new Error("The reading was given up."));
    clearTimeout(timers.get(id));
    timers.delete(id);
    logs.delete(id);
    rmSync(log.file, { force: true });
  }

  /** The same log sent again while it waits is that one. Whether the source was cut off is only known once it has been read. */
  async function receive(attemptId: string, source: Readable, wasCut: () => boolean): Promise<WaitingLog> {
    if (waiting().length >= mostWaiting)
      throw conflict(`${mostWaiting} logs are waiting or being read already; finish or give up one of them.`);
    sweep();
    const id = journal.newId(now());
    const file = path.join(folder, `${prefix}${id}.csv`);
    try {
      const to = createWriteStream(file, { flags: "wx", mode: 0o600 });
      const hash = createHash("sha256");
      await pipeline(source, hashedBy(hash), to);
      if (wasCut()) throw tooManyBytes(usualLogLimits);
      if (to.bytesWritten === 0)
        throw invalid("Choose a file, or paste the lines of a log.", { file: "A log is needed." });
      const print = hash.digest("base64url");
      const known = sentBefore(attemptId, print);
      if (known !== undefined) {
        rmSync(file, { force: true });
        return known;
      }
      const sent = { id, attemptId, file, bytes: to.bytesWritten, print };
      const log: WaitingLog = { ...sent, ...(await lookedAt(file)) };
      logs.set(id, log);
      timers.set(id, setTimeout(() => forget(id), keptMinutes * 60_000).unref());
      return log;
    } catch (error) {
      rmSync(file, { force: true });
      throw error;
    }
  }

  const sentBefore = (attemptId: string, print: string): WaitingLog | undefined =>
    waiting().find(
      (log) => log.attemptId === attemptId && log.print === print && log.state.kind !== "failed",
    );

  /** What a log that was just sent shows; where no table is seen it waits for somebody to say where that begins. */
  async function lookedAt(file: string): Promise<Seen> {
    const lines = await linesIn(file);
    try {
      const header = await headerOf(file);
      if (header.columns.every(({ kind }) => kind === "blank")) throw invalid(noRowFits);
      return {
        ...header,
        firstLines: lines.slice(0, linesKept).map(shortened),
        table: undefined,
        state: matching,
      };
    } catch (error) {
      const table = tableGuessOf(lines);
      if (!(error instanceof Refusal) || error.code !== "invalid" || table === undefined) throw error;
      const state = { kind: "untabled" as const, because: error.message };
      return { ...nothingYet, firstLines: lines.slice(0, linesKept).map(shortened), table, state };
    }
  }

  /** Looks at a log once more, by where its table is said to begin; refused where none begins there. */
  async function tabled(log: WaitingLog, table: TableTold): Promise<void> {
    if (log.state.kind === "reading" || log.state.kind === "done") return;
    logs.set(log.id, { ...log, ...(await headerOf(log.file, table)), table, state: matching });
  }

  async function linesIn(file: string): Promise<readonly string[]> {
    const source = createReadStream(file);
    try {
      return (await firstLinesOf(source, { limits: usualLogLimits })).slice(0, linesGuessed);
    } finally {
      source.destroy();
    }
  }

  async function headerOf(file: string, table?: TableTold) {
    const source = createReadStream(file);
    try {
      const { shape, suggested } = await openSensorLog(source, { limits: usualLogLimits, table });
      const remembered = journal.traces.matchesFor(shape.names);
      return {
        names: shape.names,
        columns: shape.columns,
        proposal: remembered ?? suggested,
        isRemembered: remembered !== undefined,
      };
    } finally {
      source.destroy();
    }
  }

  /** What waits or is being read, the longest first: for whoever is refused another. */
  const waiting = (): readonly WaitingLog[] =>
    [...logs.values()].filter(({ state }) => state.kind !== "done");

  function find(attemptId: string, id: string): WaitingLog {
    const log = logs.get(id);
    if (log?.attemptId !== attemptId) throw gone();
    return log;
  }

  /** One that is gone already is given up. */
  function giveUp(attemptId: string, id: string): void {
    if (logs.get(id)?.attemptId === attemptId) forget(id);
  }

  /** Begins to read, once, however many pages ask; what comes back settles with the reading, and never fails. */
  async function read(log: WaitingLog, columns: readonly ColumnMatch[]): Promise<void> {
    if (log.state.kind === "reading" || log.state.kind === "done") return;
    const reading = { kind: "reading" as const, bytes: 0, rows: 0, stop: new AbortController() };
    log.state = reading;
    const source = createReadStream(log.file);
    // Whoever reads is told of a fault; nobody may be reading yet when it comes.
    source.on("error", () => undefined);
    try {
      const taken = await takeLog(context, log.attemptId, source, columns, {
        table: log.table,
        signal: reading.stop.signal,
        onProgress: ({ bytes, rows }) => Object.assign(reading, { bytes, rows }),
      });
      log.state = { kind: "done", taken };
      rmSync(log.file, { force: true });
    } catch (error) {
      log.state = { kind: "failed", error: isGone(error) ? gone() : error };
    } finally {
      source.destroy();
    }
  }

  return { receive, find, waiting, read, tabled, giveUp, close: () => [...logs.keys()].forEach(forget) };
}

const hashedBy = (hash: Hash) =>
  async function* (source: AsyncIterable<Buffer>): AsyncGenerator<Buffer> {
    for await (const bytes of source) {
      hash.update(bytes);
      yield bytes;
    }
  };

const gone = () => missing("log; it may have waited too long. Send it again");
const isGone = (error: unknown): boolean => (error as NodeJS.ErrnoException).code === "ENOENT";
const matching: LogState = { kind: "matching" };

type Seen = Omit<WaitingLog, "id" | "attemptId" | "file" | "bytes" | "print">;
const nothingYet = { names: [], columns: [], proposal: [], isRemembered: false };

const noRowFits = "No line below what looks like a header has as many cells as it has names.";

/** So many lines are looked through for a table, and so many kept to be looked at. */
const linesGuessed = 230;
const linesKept = 60;
const shortened = (line: string): string => (line.length > 120 ? `${line.slice(0, 119)}…` : line);
