import { createReadStream } from "node:fs";
import { Readable } from "node:stream";
import type { FastifyInstance } from "fastify";
import { takeDocument } from "../actions/takeDocument.ts";
import { wholeJournalTextDespite } from "../answers/wholeJournal.ts";
import { documentLimitBytes } from "../bench/document/journalDocument.ts";
import { invalid } from "../bench/things/refusal.ts";
import type { Context } from "../requests/context.ts";
import { keyedRequest } from "../requests/keyedRequest.ts";
import { noQuery, queryOf } from "../requests/reading.ts";
import { sendAnswer } from "./answering.ts";
import { streamedDespiteDamage } from "./despiteDamage.ts";

const tags = ["journal"];

export function registerWholeJournal(app: FastifyInstance, context: Context): void {
  app.get("/api/export", { schema: { tags } }, async (_request, reply) => {
    const isDamaged = context.journal.stopped()?.because === "damaged";
    const stream = isDamaged ? await damagedStream(context) : exportStream(context);
    return reply.type("application/json; charset=utf-8").send(stream);
  });
  app.register(async (inner) => {
    inner.removeContentTypeParser("application/json");
    inner.addContentTypeParser("application/json", (_request, payload, done) => done(null, payload));
    inner.post("/api/import", { schema: { tags }, bodyLimit: documentLimitBytes }, async (request, reply) => {
      const { body } = request;
      if (!(body instanceof Readable)) throw invalid("Send an exported journal as application/json.");
      return sendAnswer(
        reply,
        await takeDocument(context, body.iterator({ destroyOnReturn: false }), keyedRequest(request, 200)),
      );
    });
  });
}

const exportStream = (context: Context): Readable =>
  streamedDespiteDamage(context, (snapshot, rescue) =>
    wholeJournalTextDespite(snapshot, context.now(), rescue),
  );

/** What can be read, and in the document's head what could not. */
async function damagedStream({ files }: Context): Promise<Readable> {
  const { file, remove } = await files.damagedToSend();
  const stream = createReadStream(file);
  stream.once("close", remove);
  return stream;
}
