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
import { noteVersions, versionsNow } from "../actions/versions.ts";
import { type Build, buildDraft, mountDraft } from "../bench/things/build.ts";
import { missing } from "../bench/things/refusal.ts";
import type { Page } from "../bench/things/thing.ts";
import { text } from "../bench/things/units.ts";
import type { Context } from "../requests/context.ts";
import { bodyOf, idOf, idParams, listQuery, pageWanted, queryOf } from "../requests/reading.ts";
import { answerPost } from "./answering.ts";
import { thingAddress } from "./thingAddress.ts";

/** A version said of a build begins now where another one ran. */
const versionsSaid = { firmwareVersion: text(120).nullish(), driverVersion: text(120).nullish() };
const buildSaid = buildDraft.extend(versionsSaid);
const buildEdit = buildSaid.partial();
const mountEdit = mountDraft.partial();

export function registerBuilds(app: FastifyInstance, context: Context): void {
  const { builds } = context.journal;
  const tags = ["builds"];
  /** A build with what it runs now. */
  const told = (build: Build) => ({
    ...build,
    ...versionsNow(build.id, { journal: context.journal, now: context.now() }),
  });
  const paged = ({ items, next }: Page<Build>) => ({ items: items.map(told), next });

  app.get("/api/builds", { schema: { tags, querystring: listQuery } }, (request) =>
    paged(builds.page(pageWanted(queryOf(listQuery, request)))),
  );

  app.post("/api/builds", { schema: { tags, body: buildSaid } }, (request, reply) => {
    const { firmwareVersion, driverVersion, ...draft } = bodyOf(buildSaid, request);
    return answerPost(context, request, reply, 201, (at) => {
      const build = addBuild(draft, at);
      noteVersions(build.id, { firmwareVersion, driverVersion }, at);
      return told(build);
    });
  });

  thingAddress(app, context, {
    path: "builds",
    what: "build",
    edits: buildEdit,
    find: builds.find,
    edit: (id, { firmwareVersion, driverVersion, ...wanted }, version, at) => {
      const build = editBuild(id, wanted as never, version, at);
      noteVersions(id, { firmwareVersion, driverVersion }, at);
      return build;
    },
    told,
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
