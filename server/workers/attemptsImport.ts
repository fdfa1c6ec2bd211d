import { randomBytes } from "node:crypto";
import { parentPort, workerData } from "node:worker_threads";
import { answerOnce, answerText, type GivenAnswer } from "../actions/answerOnce.ts";
import {
  type ImportOrder,
  type ImportResult,
  importAttempts,
  importPreview,
  refuseAny,
} from "../actions/importAttempts.ts";
import type {
  FromImportWorker,
  ImportAnswer,
  ImportJob,
  ImportOnPage,
  ImportRead,
  ImportRequest,
  ToImportWorker,
} from "../actions/importMessages.ts";
import { digestOf } from "../bench/things/digest.ts";
import { Refusal } from "../bench/things/refusal.ts";
import type { RefusedLine } from "../csv/attemptCsv.ts";
import { attemptFileOf, textOf } from "../csv/attemptFile.ts";
import { attemptFileGlimpse } from "../csv/attemptFileGlimpse.ts";
import { mappingRemembered } from "../csv/attemptMapping.ts";
import { mappingTyped } from "../csv/attemptMappingTyped.ts";
import { joinJournal, muchHeldKib } from "../store/file/journal.ts";
import { endTold } from "./inbox/faultTold.ts";
import { inboxOf } from "./inbox/inbox.ts";

/** Looks at a file of attempts, or takes it in, in one transaction on a connection of its own. */
const port = parentPort;
if (port === null) throw new Error("This runs as a worker thread.");
const { journalFile, migrations, now, asked } = workerData as ImportJob;
const tell = (message: FromImportWorker): void => port.postMessage(message);
const inbox = inboxOf<ToImportWorker>(port);
const journal = joinJournal(journalFile, { migrations, randomBytes, heldKib: muchHeldKib });
const at = { journal, now };

async function inTurn<Result>(work: () => Result): Promise<Result> {
  tell({ kind: "keeping" });
  await inbox.next("keep");
  return journal.writeNow(work);
}

async function taken({
  bytes,
  buildId,
  keyed,
}: Extract<ImportRequest, { kind: "take" }>): Promise<GivenAnswer> {
  const file = attemptFileOf(textOf(Buffer.from(bytes.buffer, bytes.byteOffset, bytes.byteLength)));
  const mapping = mappingRemembered(journal.importMappings.find(file.key), file, "UTC");
  const order = { file, mapping, buildId, aboveCeiling: false };
  const work = () => {
    const refused: RefusedLine[] = [];
    const result = importAttempts(order, at, (line) => refused.push(line));
    refuseAny(refused);
    return result;
  };
  const print = digestOf(bytes);
  return inTurn(() =>
    keyed === null ? { status: 201, answer: answerText(work()) } : answerOnce(keyed, print, at, work),
  );
}

type Seen = Readonly<{ order: ImportOrder; seen: string }>;

/** The file with its mapping as it was remembered and chosen. */
function orderOf({ text, buildId, zone, typed }: ImportOnPage): Seen {
  const file = attemptFileOf(text);
  const usual = mappingRemembered(journal.importMappings.find(file.key), file, zone);
  const mapping = mappingTyped(typed, file, usual);
  const order = { file, mapping, buildId, aboveCeiling: typed.aboveCeiling === "true" };
  return { order, seen: printOf(text, order) };
}

/** A browser sends every line end of a text as CRLF. */
function printOf(text: string, { mapping, buildId, aboveCeiling }: ImportOrder): string {
  const lines = text.replace(/^\ufeff/, "").replace(/\r\n?/g, "\n");
  return digestOf(JSON.stringify([lines, mapping, buildId, aboveCeiling]));
}

function readOf({ order, seen }: Seen, preview: ImportRead["preview"]): ImportRead {
  return { file: attemptFileGlimpse(order.file, order.mapping), mapping: order.mapping, seen, preview };
}

/** The same form again is told what came of it the first time. */
async function imported({ once }: ImportOnPage, { order, seen }: Seen): Promise<ImportResult> {
  const work = () => importAttempts(order, at);
  if (once === null) return inTurn(work);
  const keyed = { key: `form ${once} ${seen}`, address: "POST /journal/import", status: 303 };
  return JSON.parse((await inTurn(() => answerOnce(keyed, seen, at, work))).answer);
}

async function onPage(wanted: ImportOnPage): Promise<ImportAnswer> {
  const seen = orderOf(wanted);
  try {
    if (wanted.kind === "import" && seen.seen === wanted.typed.seen)
      return { kind: "imported", result: await imported(wanted, seen) };
    return { kind: "read", read: readOf(seen, importPreview(seen.order, at)), refused: null };
  } catch (error) {
    if (!(error instanceof Refusal) || !["invalid", "conflict"].includes(error.code)) throw error;
    const { message, fields } = error;
    return { kind: "read", read: readOf(seen, null), refused: { message, fields } };
  }
}

async function run(): Promise<ImportAnswer> {
  return asked.kind === "take" ? { kind: "given", given: await taken(asked) } : onPage(asked);
}

run()
  .then((answer) => tell({ kind: "done", answer }))
  .catch((error: unknown) => tell(endTold(journal.refusalOf(error) ?? error)))
  .finally(() => journal.close());
