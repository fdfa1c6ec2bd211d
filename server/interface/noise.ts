import type { FastifyInstance } from "fastify";
import { addNoise, editNoise, removeNoise, restoreNoise } from "../actions/noise.ts";
import { noiseFindings } from "../bench/noise/noise.ts";
import { type NoiseReading, noiseDraft } from "../bench/noise/noiseReading.ts";
import { missing } from "../bench/things/refusal.ts";
import type { Context } from "../requests/context.ts";
import { bodyOf, idOf, idParams, listQuery, pageWanted, queryOf } from "../requests/reading.ts";
import { answerPost } from "./answering.ts";
import { thingAddress } from "./thingAddress.ts";

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

  thingAddress(app, context, {
    path: "noise",
    what: "noise reading",
    edits: noiseEdit,
    find: noise.find,
    edit: (id, wanted, version, at) => editNoise(id, wanted as never, version, at),
    remove: removeNoise,
    restore: restoreNoise,
    told: answerOf,
  });
}
