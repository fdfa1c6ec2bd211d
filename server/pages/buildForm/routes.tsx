import type { FastifyInstance, FastifyReply } from "fastify";
import { addBuild, editBuild, removeBuild, restoreBuild } from "../../actions/builds.ts";
import { type Build, type BuildDraft, buildDraft } from "../../bench/things/build.ts";
import { invalid, missing } from "../../bench/things/refusal.ts";
import { pageHtml } from "../../html/document.tsx";
import { formatCount, formatList } from "../../html/format.ts";
import { idOf, read } from "../../requests/reading.ts";
import type { Journal } from "../../store/file/journal.ts";
import { idAsked } from "../kit/addressed.ts";
import type { PageContext } from "../kit/context.ts";
import { type FormState, formAfter, type Typed, typedIn } from "../kit/forms.ts";
import { doneOnce, formOnce } from "../kit/once.tsx";
import { sendPage } from "../kit/sendPage.ts";
import { formAfterEdit } from "../kit/staleEdit.ts";
import { historyOf } from "../kit/thingHistory.tsx";
import { paths, withQuery } from "../paths.ts";
import { frameOf } from "../siteMap.ts";
import { buildFields, buildTyped, buildWritten } from "./fields.ts";
import { BuildFormPage } from "./view.tsx";

export function registerBuildForms(app: FastifyInstance, context: PageContext): void {
  const { journal, now } = context;
  const found = (id: string | null): Build | null => {
    const build = id === null ? null : journal.builds.find(id);
    if (build === undefined) throw missing("build");
    return build;
  };

  app.get(paths.newBuild(), (request, reply) => {
    const basedOn = found(idAsked(request, "basedOn", "build"));
    return formAnswer(
      context,
      reply,
      null,
      basedOn,
      formOnce(context, basedOn ? takenOver(basedOn, journal) : {}),
    );
  });

  app.post(paths.newBuild(), async (request, reply) => {
    const typed = typedIn(request.body);
    try {
      const draft = buildTyped(buildFields(journal), typed);
      if (draft.basedOn && !draft.change) throw changeWanted();
      const address = await doneOnce(context, paths.newBuild(), typed, (at) =>
        paths.build(addBuild(draft, at).id),
      );
      return reply.redirect(address, 303);
    } catch (error) {
      const basedOn = typed.basedOn ? (journal.builds.find(typed.basedOn) ?? null) : null;
      return formAnswer(context, reply, null, basedOn, formAfter(error, typed));
    }
  });

  app.get("/builds/:id/edit", (request, reply) => {
    const build = found(idOf(request, "build")) as Build;
    const form = formOnce(context, buildWritten(buildFields(journal), build));
    return formAnswer(context, reply, build, basisOf(build, journal), form);
  });

  app.post("/builds/:id/edit", async (request, reply) => {
    const build = found(idOf(request, "build")) as Build;
    const typed = typedIn(request.body);
    try {
      const draft = buildTyped(buildFields(journal), typed);
      const version = Number(typed.version) || null;
      const address = await doneOnce(context, paths.buildEdit(build.id), typed, (at) =>
        paths.build(editBuild(build.id, draft, version, at).id),
      );
      return reply.redirect(address, 303);
    } catch (error) {
      const standing = () => buildWritten(buildFields(journal), found(build.id) as Build);
      const form = formAfterEdit(error, typed, standing);
      return formAnswer(context, reply, build, basisOf(build, journal), form);
    }
  });

  app.post("/builds/:id/aim", async (request, reply) => {
    const { id } = found(idOf(request, "build")) as Build;
    const { back, use, goal } = typedIn(request.body);
    const edit = read(aimEdit, { ...(use && { use }), ...(goal && { goal }) }, "The aim");
    await journal.write(() => editBuild(id, edit as Partial<BuildDraft>, null, { journal, now: now() }));
    return reply.redirect(back === "bench" ? paths.bench({ build: id }) : paths.build(id), 303);
  });

  registerDeleting(app, context);
}

const aimEdit = buildDraft.pick({ use: true, goal: true }).partial();

function registerDeleting(app: FastifyInstance, context: PageContext): void {
  const { journal, now } = context;

  app.post("/builds/:id/deletion", async (request, reply) => {
    const id = idOf(request, "build");
    const build = journal.builds.find(id) ?? journal.builds.findDeleted(id);
    if (!build) throw missing("build");
    try {
      if (journal.builds.find(id)) await journal.write(() => removeBuild(id, null, { journal, now: now() }));
      return reply.redirect(withQuery(paths.parts(), { gone: "builds", id }), 303);
    } catch (error) {
      const form = formAfter(error, buildWritten(buildFields(journal), build));
      return formAnswer(context, reply, build, basisOf(build, journal), form);
    }
  });

  app.post("/builds/:id/restoration", async (request, reply) => {
    const id = idOf(request, "build");
    await journal.write(() => restoreBuild(id, { journal, now: now() }));
    return reply.redirect(paths.build(id), 303);
  });
}

const basisOf = (build: Build, journal: Journal): Build | null =>
  build.basedOn === null ? null : (journal.builds.find(build.basedOn) ?? null);

/** Everything but the name and the change. */
function takenOver(basedOn: Build, journal: Journal): Typed {
  const { version: _version, ...typed } = buildWritten(buildFields(journal), basedOn);
  return { ...typed, name: "", change: "" };
}

const changeWanted = () =>
  invalid("Say what is different from the build it is based on.", {
    change: "Say what is different from the build it is based on.",
  });

function formAnswer(
  context: PageContext,
  reply: FastifyReply,
  build: Build | null,
  basedOn: Build | null,
  form: FormState,
): FastifyReply {
  const { journal } = context;
  const shown = {
    fields: buildFields(journal),
    form,
    build,
    basedOn,
    lacking: (["chips", "boards"] as const).filter((path) => journal[path].count() === 0),
    attempts: build === null ? 0 : journal.attempts.countOf(build.id),
    stays: build === null ? null : whyItStays(build, journal),
    history: build === null ? null : historyOf("builds", build.id, journal),
  };
  const page = <BuildFormPage frame={frameOf(context, "builds")} shown={shown} />;
  return sendPage(reply, pageHtml(page), form.refused === null ? 200 : 422);
}

function whyItStays({ id }: Build, journal: Journal): string | null {
  const counts = [
    [journal.attempts.countOf(id), "attempt"],
    [journal.noise.countOf(id), "noise reading"],
    [journal.builds.countUsing({ basedOn: id }), "build based on it"],
  ] as const;
  const uses = counts.filter(([n]) => n > 0).map(([n, what]) => formatCount(n, what, pluralOf(what)));
  return uses.length === 0 ? null : `It stays while it has ${formatList(uses)}.`;
}

const pluralOf = (what: string): string => (what === "build based on it" ? "builds based on it" : `${what}s`);
