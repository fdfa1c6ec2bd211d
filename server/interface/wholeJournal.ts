import { Readable } from "node:stream";
import type { FastifyInstance } from "fastify";
import { takeDocument } from "../actions/takeDocument.ts";
import { wholeJournalText } from "../answers/wholeJournal.ts";
import { documentLimitBytes } from "../bench/document/journalDocument.ts";
import { invalid } from "../bench/things/refusal.ts";
import type { Context } from "../requests/context.ts";
import { keyedRequest } from "../requests/keyedRequest.ts";
import { noQuery, queryOf } from "../requests/reading.ts";
import { sendAnswer } from "./answering.ts";

const tags = ["journal"];

export function registerWholeJournal(app: FastifyInstance, context: Context): void {
  app.get("/api/export", { schema: { tags } }, (request, reply) => {
    queryOf(noQuery, request);
    return reply.type("application/json; charset=utf-8").send(exportStream(context));
  });
  app.register(async (inner) => {
    inner.removeContentTypeParser("application/json");
    inner.addContentTypeParser("application/json", (_request, payload, done) => done(null, payload));
    inner.post("/api/import", { schema: { tags }, bodyLimit: documentLimitBytes }, async (request, reply) => {
      queryOf(noQuery, request);
      const { body } = request;
      if (!(body instanceof Readable)) throw invalid("Send an exported journal as application/json.");
      return sendAnswer(
        reply,
        await takeDocument(context, body.iterator({ destroyOnReturn: false }), keyedRequest(request, 200)),
      );
    });
  });
}

/** The journal as it stands now; what is written meanwhile is not in it. */
export function exportStream({ journal, now }: Context): Readable {
  const snapshot = journal.snapshot();
  const stream = Readable.from(wholeJournalText(snapshot, now()), { objectMode: false });
  stream.once("close", () => snapshot.close());
  return stream;
}
