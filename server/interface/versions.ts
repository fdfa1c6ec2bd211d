import type { FastifyInstance } from "fastify";
import { addVersion, editVersion, removeVersion, restoreVersion } from "../actions/versions.ts";
import { missing } from "../bench/things/refusal.ts";
import { versionDraft } from "../bench/things/version.ts";
import type { Context } from "../requests/context.ts";
import { bodyOf, idOf, idParams, listQuery, pageWanted, queryOf } from "../requests/reading.ts";
import { answerPost } from "./answering.ts";
import { thingAddress } from "./thingAddress.ts";

const versionEdit = versionDraft.partial();

/** Firmware and driver versions of builds, each from a moment on. */
export function registerVersions(app: FastifyInstance, context: Context): void {
  const { builds, versions } = context.journal;
  const tags = ["versions"];

  app.get(
    "/api/builds/:id/versions",
    { schema: { tags, params: idParams, querystring: listQuery } },
    (request) => {
      const buildId = idOf(request, "build");
      const wanted = pageWanted(queryOf(listQuery, request));
      if (!builds.find(buildId)) throw missing("build");
      return versions.pageOf(buildId, wanted);
    },
  );

  app.post(
    "/api/builds/:id/versions",
    { schema: { tags, params: idParams, body: versionDraft } },
    (request, reply) => {
      const buildId = idOf(request, "build");
      const draft = bodyOf(versionDraft, request);
      return answerPost(context, request, reply, 201, (at) => addVersion(buildId, draft, at));
    },
  );

  thingAddress(app, context, {
    path: "versions",
    what: "version",
    edits: versionEdit,
    find: versions.find,
    edit: (id, wanted, version, at) => editVersion(id, wanted as never, version, at),
    remove: removeVersion,
    restore: restoreVersion,
  });
}
