import { createReadStream, rm, statSync } from "node:fs";
import path from "node:path";
import type { FastifyInstance, FastifyReply, FastifyRequest } from "fastify";
import type { MergeResult } from "../../actions/mergeJournal.ts";
import { takeDocument } from "../../actions/takeDocument.ts";
import { documentLimitBytes } from "../../bench/document/journalDocument.ts";
import { invalid } from "../../bench/things/refusal.ts";
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
import { JournalPage } from "./view.tsx";

type News = Readonly<{ faults?: readonly string[]; merged?: MergeResult; refused?: Refused | null }>;

export async function registerJournalPages(app: FastifyInstance, context: PageContext): Promise<void> {
  const { journal } = context;
  app.get(paths.journal(), (_, reply) => journalAnswer(context, reply));
  app.get(paths.integrity(), (_, reply) => journalAnswer(context, reply, { faults: journal.faults() }));
  app.get(paths.backup(), (_, reply) => sendBackup(context, reply));

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

/** The backup is made beside the journal, where there is room for it, and taken away once it is sent. */
function sendBackup({ journal, now }: PageContext, reply: FastifyReply): FastifyReply {
  const at = now();
  const file = path.join(path.dirname(journal.file), `.download-${journal.newId(at)}.db`);
  const gone = () => rm(file, { force: true }, () => undefined);
  try {
    journal.backUpTo(file);
  } catch (error) {
    gone();
    throw error;
  }
  const size = statSync(file).size;
  const stream = createReadStream(file);
  stream.once("open", gone); // what is open can still be read, but not where the system keeps hold of it
  stream.once("close", gone);
  const name = `journal-${at.slice(0, 16).replace(/[-:]/g, "").replace("T", "-")}.db`;
  return reply
    .type("application/vnd.sqlite3")
    .header("content-disposition", `attachment; filename="${name}"`)
    .header("content-length", size)
    .header("cache-control", "no-store")
    .send(stream);
}

function journalAnswer(context: PageContext, reply: FastifyReply, news: News = {}): FastifyReply {
  const { journal, now, demo } = context;
  const shown = {
    counts: countsOf(journal),
    file: journal.file,
    bytes: bytesOf(journal.file),
    revision: journal.revision(),
    demo,
    returnable: returnableThings(journal, now()),
    faults: news.faults ?? null,
    merged: news.merged ?? null,
    refused: news.refused ?? null,
    importLimit: "256 MiB",
  };
  const page = <JournalPage frame={frameOf(context, "journal")} shown={shown} />;
  return sendPage(reply, pageHtml(page), news.refused ? 422 : 200);
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
