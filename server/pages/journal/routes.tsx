import { createReadStream, statSync } from "node:fs";
import type { FastifyInstance, FastifyReply, FastifyRequest } from "fastify";
import type { MergeResult } from "../../actions/mergeJournal.ts";
import { takeDocument } from "../../actions/takeDocument.ts";
import type { Backup } from "../../bench/document/backupRule.ts";
import { documentLimitBytes } from "../../bench/document/journalDocument.ts";
import { invalid, missing } from "../../bench/things/refusal.ts";
import { pageHtml } from "../../html/document.tsx";
import { keyedRequest } from "../../requests/keyedRequest.ts";
import { takeUploads } from "../../requests/uploads.ts";
import type { Journal } from "../../store/file/journal.ts";
import type { PageContext } from "../kit/context.ts";
import { formAfter, type Refused } from "../kit/forms.ts";
import { sendPage } from "../kit/sendPage.ts";
import { paths } from "../paths.ts";
import { frameOf } from "../siteMap.ts";
import { returnableThings } from "./comeBack.ts";
import { PromisesPage } from "./promises.tsx";
import { type ChosenBackup, JournalPage } from "./view.tsx";

type News = Readonly<{
  faults?: readonly string[];
  merged?: MergeResult;
  refused?: Refused | null;
  chosen?: ChosenBackup;
  /** What was just done with backups. */
  done?: string;
}>;

export async function registerJournalPages(app: FastifyInstance, context: PageContext): Promise<void> {
  const { files } = context;
  app.get(paths.journal(), (_, reply) => journalAnswer(context, reply));
  app.get(paths.integrity(), async (_, reply) =>
    journalAnswer(context, reply, { faults: await files.faults() }),
  );
  app.get(paths.backup(), (_, reply) => sendBackup(context, reply));
  app.get(paths.promises(), (_, reply) =>
    sendPage(reply, pageHtml(<PromisesPage frame={frameOf(context, "journal")} />)),
  );
  registerBackups(app, context);

  await app.register(async (inner) => {
    await takeUploads(inner, { fileBytes: documentLimitBytes, fieldBytes: 1024, fields: 5 });
    inner.post(paths.merge(), { bodyLimit: documentLimitBytes + (1 << 20) }, async (request, reply) => {
      try {
        const { answer } = await takeDocument(context, fileIn(request), keyedRequest(request, 200));
        return journalAnswer(context, reply, { merged: JSON.parse(answer) as MergeResult });
      } catch (error) {
        return journalAnswer(context, reply, { refused: formAfter(error, {}).refused });
      }
    });
  });
}

/** The bytes of the file in the form, as they arrive. */
async function* fileIn(request: FastifyRequest): AsyncGenerator<Uint8Array> {
  let isThere = false;
  for await (const part of request.parts()) {
    if (part.type !== "file") continue;
    for await (const bytes of part.file as AsyncIterable<Buffer>) {
      isThere = true;
      yield bytes;
    }
  }
  if (!isThere) throw invalid("Choose the file of an exported journal.", { file: "Choose a file." });
}

function registerBackups(app: FastifyInstance, context: PageContext): void {
  const { journal, files } = context;
  app.post(paths.backups(), async (_, reply) => {
    const { name } = await files.backUp();
    return journalAnswer(context, reply, { done: `Backed up as ${name}.` });
  });
  app.get(`${paths.backups()}/:name`, async (request, reply) => {
    const backup = backupAsked(request, context);
    return journalAnswer(context, reply, { chosen: { backup, faults: await files.faults(backup.name) } });
  });
  app.post(`${paths.backups()}/:name/restoration`, async (request, reply) => {
    const { name } = backupAsked(request, context);
    const aside = await files.restore(name);
    return journalAnswer(context, reply, {
      done: `${name} is in place. The journal that was here is kept as ${aside}.`,
    });
  });
  app.post(paths.withoutLog(), async (_, reply) => {
    if (journal.stopped()?.because === "log-gone") journal.goOn();
    return reply.redirect(paths.journal(), 303);
  });
}

function backupAsked(request: FastifyRequest, { files }: PageContext): Backup {
  const { name } = request.params as { name: string };
  const backup = files.backups().find((one) => one.name === name);
  if (!backup) throw missing("backup");
  return backup;
}

/** The backup is made beside the journal, where there is room for it, and taken away once it is sent. */
async function sendBackup({ files, now }: PageContext, reply: FastifyReply): Promise<FastifyReply> {
  const at = now();
  const { file, remove } = await files.backupToSend();
  const size = statSync(file).size;
  const stream = createReadStream(file);
  stream.once("open", remove); // what is open can still be read, but not where the system keeps hold of it
  stream.once("close", remove);
  const name = `journal-${at.slice(0, 16).replace(/[-:]/g, "").replace("T", "-")}.db`;
  return reply
    .type("application/vnd.sqlite3")
    .header("content-disposition", `attachment; filename="${name}"`)
    .header("content-length", size)
    .header("cache-control", "no-store")
    .send(stream);
}

function journalAnswer(context: PageContext, reply: FastifyReply, news: News = {}): FastifyReply {
  const { journal, now, demo, files } = context;
  const shown = {
    counts: readable(journal, () => countsOf(journal)) ?? [],
    file: journal.original,
    bytes: bytesOf(journal.file),
    backups: files.backups(),
    backupFolder: files.folder,
    backupFault: files.lastFault(),
    stopped: journal.stopped()?.because ?? null,
    now: now(),
    chosen: news.chosen ?? null,
    done: news.done ?? null,
    revision: journal.revision(),
    demo,
    returnable: readable(journal, () => returnableThings(journal, now())) ?? [],
    faults: news.faults ?? null,
    merged: news.merged ?? null,
    refused: news.refused ?? null,
    importLimit: "256 MiB",
  };
  const page = <JournalPage frame={frameOf(context, "journal")} shown={shown} />;
  return sendPage(reply, pageHtml(page), news.refused ? 422 : 200);
}

/** The page shows itself also where the journal is damaged: from here it is mended. */
function readable<Found>(journal: Journal, read: () => Found): Found | null {
  try {
    return read();
  } catch (error) {
    if (journal.refusalOf(error) === null) throw error;
    return null;
  }
}

const countsOf = (journal: Journal) => [
  { n: journal.attempts.count(), one: "attempt" },
  { n: journal.builds.count(), one: "build" },
  { n: journal.chips.count(), one: "chip" },
  { n: journal.boards.count(), one: "board" },
  { n: journal.workloads.count(), one: "workload" },
  { n: journal.noise.count(), one: "noise reading" },
];

/** The file and what it has not yet taken in from its log. */
const bytesOf = (file: string): number =>
  [file, `${file}-wal`].reduce(
    (sum, name) => sum + (statSync(name, { throwIfNoEntry: false })?.size ?? 0),
    0,
  );
