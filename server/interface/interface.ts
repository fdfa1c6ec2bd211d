import type { FastifyInstance, FastifyRequest } from "fastify";
import type { Context } from "../requests/context.ts";
import { noQuery, queryOf } from "../requests/reading.ts";
import { registerAttempts } from "./attempts.ts";
import { registerAttemptsCsv } from "./attemptsCsv.ts";
import { registerAttendants } from "./attendants.ts";
import { registerBackups } from "./backups.ts";
import { registerBuilds } from "./builds.ts";
import { registerChanges } from "./changes.ts";
import { registerCompare } from "./compare.ts";
import { registerEvents } from "./events.ts";
import { registerFrontier } from "./frontier.ts";
import { registerGaveWay } from "./gaveWay.ts";
import { registerLimit } from "./limit.ts";
import { registerMerges } from "./merges.ts";
import { registerNoise } from "./noise.ts";
import { registerParts } from "./parts.ts";
import { registerPictures } from "./pictures.ts";
import { registerPower } from "./power.ts";
import { registerSamples } from "./samples.ts";
import { registerTraces } from "./traces.ts";
import { registerVersions } from "./versions.ts";
import { registerWholeJournal } from "./wholeJournal.ts";
import { registerWriteUpAnswer } from "./writeUp.ts";

/** The JSON interface, every address of it under /api. */
export function registerInterface(app: FastifyInstance, context: Context): void {
  app.addHook("onRequest", async (request) => refuseUnasked(request));
  app.get("/api/health", { schema: { tags: ["health"] } }, () => ({
    status: "ok",
    version: context.version,
    stopped: context.journal.stopped(),
  }));
  registerParts(app, context);
  registerBuilds(app, context);
  registerVersions(app, context);
  registerAttempts(app, context);
  registerAttemptsCsv(app, context);
  registerAttendants(app, context);
  registerNoise(app, context);
  registerFrontier(app, context);
  registerLimit(app, context);
  registerCompare(app, context);
  registerPower(app, context);
  registerChanges(app, context);
  registerSamples(app, context);
  registerTraces(app, context);
  registerGaveWay(app, context);
  registerPictures(app, context);
  registerWriteUpAnswer(app, context);
  registerWholeJournal(app, context);
  registerMerges(app, context);
  registerBackups(app, context);
  registerEvents(app, context);
  let described: Promise<Record<string, unknown>> | null = null;
  app.get("/api/openapi.json", { schema: { hide: true } }, () => {
    described ??= import("./openapi.ts").then(({ openApiOf }) =>
      openApiOf((shadow) => registerInterface(shadow, context), context.version),
    );
    return described;
  });
}

/** An address that says nothing of a query takes none: what is not read must not be taken for read. */
function refuseUnasked(request: FastifyRequest): void {
  const { url, schema } = request.routeOptions;
  if (url?.startsWith("/api/") && schema?.querystring === undefined) queryOf(noQuery, request);
}
