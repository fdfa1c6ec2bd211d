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
import { buildDraft, mountDraft } from "../bench/build.ts";
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

  app.get("/api/builds/:id", { schema: { tags, params: idParams } }, (request, reply) => {
    queryOf(noQuery, request);
    const build = builds.find(idOf(request, "build"));
    if (!build) throw missing("build");
    return reply.header("etag", etagOf(build)).send(build);
  });

  app.patch("/api/builds/:id", { schema: { tags, params: idParams, body: buildEdit } }, (request, reply) => {
    const id = idOf(request, "build");
    const edit = bodyOf(buildEdit, request);
    return answerEdit(context, reply, (at) => editBuild(id, edit as never, expectedVersion(request), at));
  });

  app.delete("/api/builds/:id", { schema: { tags, params: idParams } }, (request, reply) => {
    const id = idOf(request, "build");
    return answerDone(context, reply, (at) => removeBuild(id, expectedVersion(request), at));
  });

  app.put("/api/builds/:id/restoration", { schema: { tags, params: idParams } }, (request, reply) => {
    const id = idOf(request, "build");
    return answerEdit(context, reply, (at) => restoreBuild(id, at));
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

  app.get("/api/mounts/:id", { schema: { tags, params: idParams } }, (request, reply) => {
    queryOf(noQuery, request);
    const mount = mounts.find(idOf(request, "mount"));
    if (!mount) throw missing("mount");
    return reply.header("etag", etagOf(mount)).send(mount);
  });

  app.patch("/api/mounts/:id", { schema: { tags, params: idParams, body: mountEdit } }, (request, reply) => {
    const id = idOf(request, "mount");
    const edit = bodyOf(mountEdit, request);
    return answerEdit(context, reply, (at) => editMount(id, edit as never, expectedVersion(request), at));
  });

  app.delete("/api/mounts/:id", { schema: { tags, params: idParams } }, (request, reply) => {
    const id = idOf(request, "mount");
    return answerDone(context, reply, (at) => removeMount(id, expectedVersion(request), at));
  });

  app.put("/api/mounts/:id/restoration", { schema: { tags, params: idParams } }, (request, reply) => {
    const id = idOf(request, "mount");
    return answerEdit(context, reply, (at) => restoreMount(id, at));
  });
}
