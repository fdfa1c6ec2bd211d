import type { FastifyInstance } from "fastify";
import { addNoise, editNoise, removeNoise, restoreNoise } from "../actions/noise.ts";
import { noiseFindings } from "../bench/noise.ts";
import { type NoiseReading, noiseDraft } from "../bench/noiseReading.ts";
import { missing } from "../bench/refusal.ts";
import { answerDone, answerEdit, answerPost, etagOf } from "./answering.ts";
import type { Context } from "./context.ts";
import {
  bodyOf,
  expectedVersion,
  idOf,
  idParams,
  listQuery,
  noQuery,
  pageWanted,
  queryOf,
} from "./reading.ts";

const noiseEdit = noiseDraft.partial();

/** A reading with what it comes to. */
const answerOf = (reading: NoiseReading) => ({ ...reading, ...noiseFindings(reading) });

export function registerNoise(app: FastifyInstance, context: Context): void {
  const { builds, noise } = context.journal;
  const tags = ["noise"];

  app.get(
    "/api/builds/:id/noise",
    { schema: { tags, params: idParams, querystring: listQuery } },
    (request) => {
      const buildId = idOf(request, "build");
      const wanted = pageWanted(queryOf(listQuery, request));
      if (!builds.find(buildId)) throw missing("build");
      const { items, next } = noise.pageOf(buildId, wanted);
      return { items: items.map(answerOf), next };
    },
  );

  app.post(
    "/api/builds/:id/noise",
    { schema: { tags, params: idParams, body: noiseDraft } },
    (request, reply) => {
      const buildId = idOf(request, "build");
      const draft = bodyOf(noiseDraft, request);
      return answerPost(context, request, reply, 201, (at) => answerOf(addNoise(buildId, draft, at)));
    },
  );

  app.get("/api/noise/:id", { schema: { tags, params: idParams } }, (request, reply) => {
    queryOf(noQuery, request);
    const reading = noise.find(idOf(request, "noise reading"));
    if (!reading) throw missing("noise reading");
    return reply.header("etag", etagOf(reading)).send(answerOf(reading));
  });

  app.patch("/api/noise/:id", { schema: { tags, params: idParams, body: noiseEdit } }, (request, reply) => {
    const id = idOf(request, "noise reading");
    const edit = bodyOf(noiseEdit, request);
    return answerEdit(context, reply, (at) =>
      answerOf(editNoise(id, edit as never, expectedVersion(request), at)),
    );
  });

  app.delete("/api/noise/:id", { schema: { tags, params: idParams } }, (request, reply) => {
    const id = idOf(request, "noise reading");
    return answerDone(context, reply, (at) => removeNoise(id, expectedVersion(request), at));
  });

  app.put("/api/noise/:id/restoration", { schema: { tags, params: idParams } }, (request, reply) => {
    const id = idOf(request, "noise reading");
    return answerEdit(context, reply, (at) => answerOf(restoreNoise(id, at)));
  });
}
