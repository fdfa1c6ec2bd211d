import { createHash, randomBytes } from "node:crypto";
import { parentPort, workerData } from "node:worker_threads";
import { answerOnce, answerText, type GivenAnswer } from "../actions/answerOnce.ts";
import {
  answerOfLog,
  type FromLogWorker,
  type ImportedLog,
  type LogJob,
  type LogKeeping,
  type ToLogWorker,
} from "../actions/logImportMessages.ts";
import { replacing } from "../actions/undoMerge.ts";
import { conversionOf, unitKept } from "../bench/logs/channel.ts";
import type { ColumnMatch } from "../bench/logs/columnMatch.ts";
import { isHeadless } from "../csv/logShape.ts";
import { openSensorLog, type SensorLog } from "../csv/sensorLog.ts";
import { joinJournal, muchHeldKib } from "../store/file/journal.ts";
import { type PackedTrace, TracePacker } from "../store/traces/tracePacking.ts";
import { endTold } from "./inbox/faultTold.ts";
import { inboxOf } from "./inbox/inbox.ts";

/** Reads a log sent in buffers, packs it, and keeps it in one transaction or sends it back. */
const port = parentPort;
if (port === null) throw new Error("This runs as a worker thread.");
const job = workerData as LogJob;
const tell = (message: FromLogWorker): void => port.postMessage(message);
const inbox = inboxOf<ToLogWorker>(port);
const bytesBetweenReports = 4_000_000;

/** What was sent, told from anything else. */
const sent = createHash("sha256");

async function* printed(source: AsyncIterable<Buffer>): AsyncGenerator<Buffer> {
  for await (const bytes of source) {
    if (job.keep?.keyed != null) sent.update(bytes);
    yield bytes;
  }
}

async function matchesFor(log: SensorLog): Promise<readonly ColumnMatch[]> {
  tell({ kind: "header", names: log.shape.names, proposal: log.proposal });
  return (await inbox.next("matches")).matches;
}

function reporter(): (progress: { bytes: number; rows: number }) => void {
  let reported = 0;
  return ({ bytes, rows }) => {
    if (!(bytes - reported >= bytesBetweenReports)) return;
    reported = bytes;
    tell({ kind: "progress", bytes, rows });
  };
}

async function packedFrom(log: SensorLog, matches: readonly ColumnMatch[]): Promise<PackedTrace> {
  const readings = matches.filter(({ channel }) => channel !== "time");
  const packer = new TracePacker(
    readings.map(({ channel, unit }) => ({
      channel,
      unit: unitKept(channel, conversionOf(channel, unit)?.to ?? unit),
    })),
  );
  for await (const chunk of log.rows(matches)) packer.add(chunk.rows, chunk.t, chunk.columns, chunk.decimals);
  return packer.finish();
}

/** One transaction on a connection of its own: the server's is never held up. */
async function kept(trace: PackedTrace, about: ImportedLog, keep: LogKeeping): Promise<GivenAnswer> {
  tell({ kind: "keeping" });
  await inbox.next("keep");
  const journal = joinJournal(keep.journalFile, {
    migrations: keep.migrations,
    randomBytes,
    heldKib: muchHeldKib,
  });
  try {
    inbox.signal.throwIfAborted();
    const origin = { source: "log", startedAt: about.startedAt } as const;
    const write = () => {
      replacing("ownTraces", [keep.attemptId], { journal, now: keep.now }, () => {
        journal.traces.write(keep.attemptId, trace, origin, keep.now);
        journal.attempts.noteHanging(keep.attemptId, "trace", keep.now);
      });
      return answerOfLog(about);
    };
    const { keyed } = keep;
    if (keyed == null) return journal.writeNow(() => ({ status: 201, answer: answerText(write()) }));
    const bodyHash = createHash("sha256").update(keyed.said).update(sent.digest()).digest("base64url");
    return journal.writeNow(() => answerOnce(keyed.request, bodyHash, { journal, now: keep.now }, write));
  } finally {
    journal.close();
  }
}

function described(log: SensorLog, matches: readonly ColumnMatch[], trace: PackedTrace): ImportedLog {
  const { skipped, adjusted, startedAtSeconds, startedAtLocal = null } = log.remarks();
  const readings = trace.channels.filter(({ channel, hasReadings }) => hasReadings && channel !== "time");
  return {
    rows: trace.rows,
    fromS: trace.fromS,
    toS: trace.toS,
    channels: readings.map(({ channel, unit }) => ({ channel, unit })),
    skipped,
    adjusted,
    names: log.shape.names,
    isNamed: !isHeadless(log.shape),
    matches,
    startedAt: startedAtSeconds === undefined ? null : new Date(startedAtSeconds * 1000).toISOString(),
    startedAtLocal,
  };
}

async function run(): Promise<void> {
  const reading = { limits: job.limits, signal: inbox.signal, onProgress: reporter(), table: job.table };
  const log = await openSensorLog(printed(inbox.bytes()), reading);
  const matches = await matchesFor(log);
  const trace = await packedFrom(log, matches);
  const about = described(log, matches, trace);
  const given = job.keep === null ? null : await kept(trace, about, job.keep);
  tell({ kind: "done", log: about, trace: job.keep === null ? trace : null, given });
}

run().catch((error: unknown) => tell(endTold(error)));
