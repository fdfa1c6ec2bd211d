import type { FastifyInstance } from "fastify";
import {
  addBuild,
  addMount,
  editBuild,
  editMount,
  removeBuild,
  removeMount,
  restoreBuild,
  restoreMount,
} from "../actions/builds.ts";
import { buildDraft, mountDraft } from "../bench/things/build.ts";
import { missing } from "../bench/things/refusal.ts";
import type { Context } from "../requests/context.ts";
import { bodyOf, idOf, idParams, listQuery, pageWanted, queryOf } from "../requests/reading.ts";
import { answerPost } from "./answering.ts";
import { thingAddress } from "./thingAddress.ts";

const buildEdit = buildDraft.partial();
const mountEdit = mountDraft.partial();

export function registerBuilds(app: FastifyInstance, context: Context): void {
  const { builds } = context.journal;
  const tags = ["builds"];

  app.get("/api/builds", { schema: { tags, querystring: listQuery } }, (request) =>
    builds.page(pageWanted(queryOf(listQuery, request))),
  );

  app.post("/api/builds", { schema: { tags, body: buildDraft } }, (request, reply) => {
    const draft = bodyOf(buildDraft, request);
    return answerPost(context, request, reply, 201, (at) => addBuild(draft, at));
  });

  thingAddress(app, context, {
    path: "builds",
    what: "build",
    edits: buildEdit,
    find: builds.find,
    edit: (id, wanted, version, at) => editBuild(id, wanted as never, version, at),
    remove: removeBuild,
    restore: restoreBuild,
  });

  registerMounts(app, context);
}

function registerMounts(app: FastifyInstance, context: Context): void {
  const { builds, mounts } = context.journal;
  const tags = ["mounts"];

  app.get(
    "/api/builds/:id/mounts",
    { schema: { tags, params: idParams, querystring: listQuery } },
    (request) => {
      const buildId = idOf(request, "build");
      const wanted = pageWanted(queryOf(listQuery, request));
      if (!builds.find(buildId)) throw missing("build");
      return mounts.pageOf(buildId, wanted);
    },
  );

  app.post(
    "/api/builds/:id/mounts",
    { schema: { tags, params: idParams, body: mountDraft } },
    (request, reply) => {
      const buildId = idOf(request, "build");
      const draft = bodyOf(mountDraft, request);
      return answerPost(context, request, reply, 201, (at) => addMount(buildId, draft, at));
    },
  );

  thingAddress(app, context, {
    path: "mounts",
    what: "mount",
    edits: mountEdit,
    find: mounts.find,
    edit: (id, wanted, version, at) => editMount(id, wanted as never, version, at),
    remove: removeMount,
    restore: restoreMount,
  });
}
