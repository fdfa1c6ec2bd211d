import { createReadStream, statSync } from "node:fs";
import type { FastifyInstance, FastifyReply, FastifyRequest } from "fastify";
import * as z from "zod";
import { blankAll, blankable } from "../../actions/blanking.ts";
import type { At } from "../../actions/context.ts";
import type { MergeResult } from "../../actions/mergeTally.ts";
import { takeDocument } from "../../actions/takeDocument.ts";
import { type ManyUndone, undoEdit, undoEditsAt } from "../../actions/undoEdit.ts";
import { type MergeUndone, replacedBy, undoMerge } from "../../actions/undoMerge.ts";
import type { Backup } from "../../bench/document/backupRule.ts";
import { documentLimitBytes } from "../../bench/document/journalDocument.ts";
import { isMergedList } from "../../bench/document/registers.ts";
import { invalid, missing } from "../../bench/things/refusal.ts";
import { instant, isId } from "../../bench/things/units.ts";
import { pageHtml } from "../../html/document.tsx";
import { formatCount } from "../../html/format.ts";
import { keyedRequest } from "../../requests/keyedRequest.ts";
import { read } from "../../requests/reading.ts";
import { takeUploads } from "../../requests/uploads.ts";
import type { Journal } from "../../store/file/journal.ts";
import type { PageContext } from "../kit/context.ts";
import { formAfter, type Refused, typedIn } from "../kit/forms.ts";
import { doneOnce, doneOnceOutside } from "../kit/once.tsx";
import { sendPage } from "../kit/sendPage.ts";
import { paths } from "../paths.ts";
import { frameOf } from "../siteMap.ts";
import { returnableThings } from "./comeBack.ts";
import type { DevicesShown } from "./devices.tsx";
import { nameOfThing, undoableEdits } from "./editsLately.ts";
import { mergesLately } from "./mergesLately.ts";
import { PromisesPage } from "./promises.tsx";
import { type ChosenBackup, JournalPage } from "./view.tsx";

const lockingWords = z.object({
  words: z
    .string({ error: "Type the words it is to be locked with." })
    .trim()
    .min(8, "Words that lock have at least 8 characters.")
    .max(200, "Words that lock have at most 200 characters."),
});

type News = Readonly<{
  faults?: readonly string[];
  merged?: MergeResult;
  refused?: Refused | null;
  lockRefused?: Refused | null;
  chosen?: ChosenBackup;
  /** What was just done with backups. */
  done?: string;
  /** What became of a merge that was undone, and of what was blanked. */
  undone?: string;
  blanked?: string;
  edited?: string;
}>;

export async function registerJournalPages(app: FastifyInstance, context: PageContext): Promise<void> {
  const { files } = context;
  app.get(paths.journal(), (_, reply) => journalAnswer(context, reply));
  app.get(paths.integrity(), async (_, reply) =>
    journalAnswer(context, reply, { faults: await files.faults() }),
  );
  app.get(paths.backup(), async (_, reply) => sendBackup(context, reply, await files.backupToSend()));
  app.post(paths.lockedBackup(), async (request, reply) => {
    try {
      const { words } = read(lockingWords, request.body, "The form");
      return await sendBackup(context, reply, await files.lockedToSend(words), ".age");
    } catch (error) {
      return journalAnswer(context, reply, { lockRefused: formAfter(error, {}).refused });
    }
  });
  app.get(paths.promises(), (_, reply) =>
    sendPage(reply, pageHtml(<PromisesPage frame={frameOf(context, "journal")} />)),
  );
  registerBackups(app, context);
  registerUndoing(app, context);

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
  app.post(paths.backups(), async (request, reply) => {
    const name = await doneOnceOutside(context, paths.backups(), typedIn(request.body), async () => {
      const made = await files.backUp();
      return made.name;
    });
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

function registerUndoing(app: FastifyInstance, context: PageContext): void {
  const { journal } = context;
  app.post(`${paths.journal()}/merges/:id/undoing`, async (request, reply) => {
    const { id } = request.params as { id: string };
    const undone = await doneOnce(context, paths.mergeUndoing(id), typedIn(request.body), (at) =>
      undoneAgain(id, at),
    );
    return journalAnswer(context, reply, { undone });
  });
  app.post(`${paths.journal()}/edits/:list/:id/undoing`, async (request, reply) => {
    const { list, id } = request.params as { list: string; id: string };
    if (!isMergedList(list) || !isId(id)) throw missing("thing");
    const address = paths.editUndoing(list, id);
    const edited = await doneOnce(context, address, typedIn(request.body), (at) => {
      const { name } = nameOfThing(list, undoEdit(list, id, at), journal);
      return `Undone: ${name} is as it was before.`;
    });
    return journalAnswer(context, reply, { edited });
  });
  app.post(paths.editsUndoing(), async (request, reply) => {
    const typed = typedIn(request.body);
    const { at: moment } = read(editsUndone, { at: typed.at }, "The form");
    const edited = await doneOnce(context, paths.editsUndoing(), typed, (at) =>
      manyUndoneWords(undoEditsAt(moment, at)),
    );
    return journalAnswer(context, reply, { edited });
  });
  app.post(paths.blanking(), async (request, reply) => {
    const blanked = await doneOnce(context, paths.blanking(), typedIn(request.body), (at) =>
      blankedWords(blankAll(at)),
    );
    return journalAnswer(context, reply, { blanked });
  });
}

function undoneAgain(id: string, at: At): string {
  const merge = at.journal.merges.find(id);
  const replaced = merge ? replacedBy(merge, at) : null;
  const undone = merge ? undoMerge(id, at) : null;
  if (replaced === null || undone === null) return undoneWords(undone);
  const { stays } = undone;
  if (stays > 0) return "That was changed again since, and stays as it is.";
  return replaced.list === "ownTraces"
    ? "The trace is as it was before."
    : "The words are as they were before.";
}

function manyUndoneWords({ undone, stays }: ManyUndone): string {
  const rest = stays === 0 ? "" : ` ${formatCount(stays, "attempt")} changed since, and left as it is.`;
  return `Undone: ${formatCount(undone, "attempt")} as before.${rest}`;
}

const editsUndone = z.object({ at: instant });

const blankedWords = (count: number): string =>
  `${formatCount(count, "deleted thing")} blanked for good. Backups made before still hold what was written there.`;

function undoneWords(undone: MergeUndone | null): string {
  if (undone === null) return "That merge is not here any more: it was undone, or is more than a day old.";
  const { takenBack, stays } = undone;
  const rest =
    stays === 0
      ? ""
      : ` ${formatCount(stays, "thing")} changed here since, or needed by what was, ${stays === 1 ? "stays" : "stay"}.`;
  return `The merge is undone: ${formatCount(takenBack, "thing")} as before.${rest} Merged again, all of it comes again.`;
}

function backupAsked(request: FastifyRequest, { files }: PageContext): Backup {
  const { name } = request.params as { name: string };
  const backup = files.backups().find((one) => one.name === name);
  if (!backup) throw missing("backup");
  return backup;
}

/** The backup is made beside the journal, where there is room for it, and taken away once it is sent. */
async function sendBackup(
  { now }: PageContext,
  reply: FastifyReply,
  { file, remove }: Readonly<{ file: string; remove(): void }>,
  ending = "",
): Promise<FastifyReply> {
  const at = now();
  const size = statSync(file).size;
  const stream = createReadStream(file);
  stream.once("open", remove); // what is open can still be read, but not where the system keeps hold of it
  stream.once("close", remove);
  const name = `journal-${at.slice(0, 16).replace(/[-:]/g, "").replace("T", "-")}.db${ending}`;
  return reply
    .type(ending === "" ? "application/vnd.sqlite3" : "application/octet-stream")
    .header("content-disposition", `attachment; filename="${name}"`)
    .header("content-length", size)
    .header("cache-control", "no-store")
    .send(stream);
}

const devicesShown = ({ admission }: PageContext, request: FastifyRequest): DevicesShown =>
  admission && { sessions: admission.sessions.all(), own: admission.sessionOf(request) };

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
    once: journal.newId(now()),
    chosen: news.chosen ?? null,
    done: news.done ?? null,
    devices: devicesShown(context, reply.request),
    revision: journal.revision(),
    demo,
    returnable: readable(journal, () => returnableThings(journal, now())) ?? [],
    faults: news.faults ?? null,
    merged: news.merged ?? null,
    undone: news.undone ?? null,
    blanked: news.blanked ?? null,
    edited: news.edited ?? null,
    lately: readable(journal, () => undoableEdits(journal, now())) ?? [],
    merges: readable(journal, () => mergesLately(journal, now())) ?? [],
    blankable: readable(journal, () => blankable({ journal, now: now() }).length) ?? 0,
    refused: news.refused ?? null,
    lockRefused: news.lockRefused ?? null,
    importLimit: "256 MiB",
  };
  const page = <JournalPage frame={frameOf(context, "journal")} shown={shown} />;
  return sendPage(reply, pageHtml(page), (news.refused ?? news.lockRefused) ? 422 : 200);
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
  { n: journal.workloads.count(), one: "load" },
  { n: journal.noise.count(), one: "noise reading" },
];

/** The file and what it has not yet taken in from its log. */
const bytesOf = (file: string): number =>
  [file, `${file}-wal`].reduce(
    (sum, name) => sum + (statSync(name, { throwIfNoEntry: false })?.size ?? 0),
    0,
  );
