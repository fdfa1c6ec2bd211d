import type { FastifyInstance, FastifyReply } from "fastify";
import { addVersion, removeVersion, restoreVersion } from "../../actions/versions.ts";
import type { Build } from "../../bench/things/build.ts";
import { missing } from "../../bench/things/refusal.ts";
import { versionDraft } from "../../bench/things/version.ts";
import { pageHtml } from "../../html/document.tsx";
import { idOf, read } from "../../requests/reading.ts";
import { idAsked } from "../kit/addressed.ts";
import type { PageContext } from "../kit/context.ts";
import { type FormState, formAfter, typedIn } from "../kit/forms.ts";
import type { Gone } from "../kit/goneNotice.tsx";
import { doneOnce, formOnce } from "../kit/once.tsx";
import { sendPage } from "../kit/sendPage.ts";
import { thingTyped } from "../kit/thingFields.tsx";
import { historyOf } from "../kit/thingHistory.tsx";
import { paths, withQuery } from "../paths.ts";
import { frameOf } from "../siteMap.ts";
import { VersionsPage, versionFields } from "./view.tsx";

/** Which firmware and driver a build ran, and since when. */
export function registerVersionPages(app: FastifyInstance, context: PageContext): void {
  const { journal, now } = context;

  app.get("/builds/:id/versions", (request, reply) => {
    const gone = goneOf(context, idAsked(request, "gone", "version"));
    return versionsAnswer(context, reply, buildOf(context, idOf(request, "build")), formOnce(context), gone);
  });

  app.post("/builds/:id/versions", async (request, reply) => {
    const build = buildOf(context, idOf(request, "build"));
    const typed = typedIn(request.body);
    try {
      const fields = thingTyped(versionFields, typed);
      const draft = read(versionDraft, { ...fields, name: fields.name ?? "" }, "The version");
      const address = await doneOnce(context, paths.versions(build.id), typed, (at) => {
        addVersion(build.id, draft, at);
        return paths.versions(build.id);
      });
      return reply.redirect(address, 303);
    } catch (error) {
      return versionsAnswer(context, reply, build, formAfter(error, typed));
    }
  });

  app.post("/versions/:id/deletion", async (request, reply) => {
    const id = idOf(request, "version");
    const version = journal.versions.find(id) ?? journal.versions.findDeleted(id);
    if (!version) throw missing("version");
    if (journal.versions.find(id))
      await journal.write(() => removeVersion(id, null, { journal, now: now() }));
    return reply.redirect(withQuery(paths.versions(version.buildId), { gone: version.id }), 303);
  });

  app.post("/versions/:id/restoration", async (request, reply) => {
    const id = idOf(request, "version");
    const version = await journal.write(() => restoreVersion(id, { journal, now: now() }));
    return reply.redirect(paths.versions(version.buildId), 303);
  });
}

function buildOf({ journal }: PageContext, id: string): Build {
  const build = journal.builds.find(id);
  if (!build) throw missing("build");
  return build;
}

function goneOf({ journal }: PageContext, id: string | null): Gone | null {
  const version = id === null ? undefined : journal.versions.findDeleted(id);
  return version ? { thing: "versions", id: version.id, name: `${version.of} ${version.name}` } : null;
}

function versionsAnswer(
  context: PageContext,
  reply: FastifyReply,
  build: Build,
  form: FormState,
  gone: Gone | null = null,
): FastifyReply {
  const versions = context.journal.versions.allOf(build.id).toReversed();
  const rows = versions.map((version) => ({
    version,
    history: historyOf("versions", version.id, context.journal),
  }));
  const page = <VersionsPage frame={frameOf(context, "builds")} shown={{ build, rows, form, gone }} />;
  return sendPage(reply, pageHtml(page), form.refused === null ? 200 : 422);
}
