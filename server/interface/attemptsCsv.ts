import type { FastifyInstance } from "fastify";
import { importFile } from "../actions/importFile.ts";
import { attemptsCsvDespite } from "../answers/attemptsCsv.ts";
import type { Build } from "../bench/things/build.ts";
import { invalid, missing } from "../bench/things/refusal.ts";
import { attemptFileLimits } from "../csv/attemptFile.ts";
import type { Context } from "../requests/context.ts";
import { keyedRequest } from "../requests/keyedRequest.ts";
import { idOf, idParams, noQuery, queryOf } from "../requests/reading.ts";
import { sendAnswer } from "./answering.ts";
import { streamedDespiteDamage } from "./despiteDamage.ts";

const tags = ["attempts"];

/**
 * A build's attempts as RFC 4180, and back. A posted file is taken whole or not at all, its columns as they were
 * settled on the import page, else as the header says.
 */
export function registerAttemptsCsv(app: FastifyInstance, context: Context): void {
  app.get("/api/builds/:id/attempts.csv", { schema: { tags, params: idParams } }, (request, reply) => {
    const build = context.journal.builds.find(idOf(request, "build"));
    if (!build) throw missing("build");
    return reply
      .type("text/csv; charset=utf-8; header=present")
      .header("content-disposition", `attachment; filename="${fileNameOf(build)}"`)
      .send(
        streamedDespiteDamage(context, (snapshot, rescue) => attemptsCsvDespite(snapshot, build, rescue)),
      );
  });
  app.register(async (inner) => {
    const bodyLimit = attemptFileLimits.bytes;
    const options = { schema: { tags, params: idParams }, bodyLimit };
    inner.addContentTypeParser("text/csv", { parseAs: "buffer", bodyLimit }, (_, body, done) =>
      done(null, body),
    );
    inner.post("/api/builds/:id/attempts.csv", options, async (request, reply) => {
      const buildId = idOf(request, "build");
      const { body: bytes } = request;
      if (!Buffer.isBuffer(bytes)) throw invalid("Send the lines as text/csv.");
      const keyed = keyedRequest(request, 201);
      const answer = await importFile(context, { kind: "take", bytes, buildId, keyed });
      if (answer.kind !== "given") throw new Error("A file sent by itself was only looked at.");
      return sendAnswer(reply, answer.given);
    });
  });
}

const fileNameOf = ({ name }: Build): string =>
  `attempts ${name}`
    .replace(/[^\p{L}\p{N}]+/gu, "-")
    .normalize("NFKD")
    .replace(/[^\w-]/g, "")
    .concat(".csv");
