import { Readable } from "node:stream";
import type { FastifyInstance } from "fastify";
import { mergeJournal } from "../actions/mergeJournal.ts";
import { wholeJournalText } from "../answers/wholeJournal.ts";
import { journalDocumentFrom } from "../bench/document/journalDocument.ts";
import type { Context } from "../requests/context.ts";
import { noQuery, queryOf } from "../requests/reading.ts";
import { importLimitBytes } from "../requests/uploads.ts";
import { answerPost } from "./answering.ts";

const tags = ["journal"];

export function registerWholeJournal(app: FastifyInstance, context: Context): void {
  app.get("/api/export", { schema: { tags } }, (request, reply) => {
    queryOf(noQuery, request);
    return reply.type("application/json; charset=utf-8").send(exportStream(context));
  });
  app.post("/api/import", { schema: { tags }, bodyLimit: importLimitBytes }, (request, reply) => {
    const document = journalDocumentFrom(request.body);
    return answerPost(context, request, reply, 200, (at) => mergeJournal(document, at));
  });
}

/** The journal as it stands now; what is written meanwhile is not in it. */
export function exportStream({ journal, now }: Context): Readable {
  const snapshot = journal.snapshot();
  const stream = Readable.from(wholeJournalText(snapshot, now()), { objectMode: false });
  stream.once("close", () => snapshot.close());
  return stream;
}
