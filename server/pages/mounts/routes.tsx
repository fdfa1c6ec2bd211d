import type { FastifyInstance, FastifyReply } from "fastify";
import { addMount, editMount, removeMount, restoreMount } from "../../actions/builds.ts";
import { type Build, type Mount, type MountDraft, mountDraft } from "../../bench/things/build.ts";
import { missing } from "../../bench/things/refusal.ts";
import { pageHtml } from "../../html/document.tsx";
import { formatMoment } from "../../html/format.ts";
import { idOf, read } from "../../requests/reading.ts";
import { idAsked } from "../kit/addressed.ts";
import type { PageContext } from "../kit/context.ts";
import { type FormState, formAfter, type Typed, typedIn } from "../kit/forms.ts";
import type { Gone } from "../kit/goneNotice.tsx";
import { doneOnce, formOnce } from "../kit/once.tsx";
import { sendPage } from "../kit/sendPage.ts";
import { formAfterEdit } from "../kit/staleEdit.ts";
import { thingTyped, thingWritten } from "../kit/thingFields.tsx";
import { historyOf } from "../kit/thingHistory.tsx";
import { paths, withQuery } from "../paths.ts";
import { frameOf } from "../siteMap.ts";
import { MountsPage, mountFields } from "./view.tsx";

export function registerMountPages(app: FastifyInstance, context: PageContext): void {
  const { now } = context;

  app.get("/builds/:id/mounts", (request, reply) => {
    const build = buildOf(context, idOf(request, "build"));
    const gone = goneOf(context, idAsked(request, "gone", "mount"));
    return mountsAnswer(context, reply, build, null, formOnce(context), gone);
  });

  app.post("/builds/:id/mounts", async (request, reply) => {
    const build = buildOf(context, idOf(request, "build"));
    const typed = typedIn(request.body);
    try {
      const at = now();
      const draft = { mountedAt: at, ...mountTyped(typed) } as MountDraft;
      const address = await doneOnce(context, paths.mounts(build.id), typed, (within) => {
        addMount(build.id, draft, within);
        return paths.mounts(build.id);
      });
      return reply.redirect(address, 303);
    } catch (error) {
      return mountsAnswer(context, reply, build, null, formAfter(error, typed));
    }
  });

  app.get("/mounts/:id", (request, reply) => {
    const mount = mountOf(context, idOf(request, "mount"));
    const form = formOnce(context, mountWritten(mount));
    return mountsAnswer(context, reply, buildOf(context, mount.buildId), mount, form);
  });

  app.post("/mounts/:id", async (request, reply) => {
    const mount = mountOf(context, idOf(request, "mount"));
    const typed = typedIn(request.body);
    try {
      const edit = mountTyped(typed);
      const version = Number(typed.version) || null;
      const address = await doneOnce(context, paths.mount(mount.id), typed, (at) => {
        editMount(mount.id, edit, version, at);
        return paths.mounts(mount.buildId);
      });
      return reply.redirect(address, 303);
    } catch (error) {
      const form = formAfterEdit(error, typed, () => mountWritten(mountOf(context, mount.id)));
      return mountsAnswer(context, reply, buildOf(context, mount.buildId), mount, form);
    }
  });

  registerDeleting(app, context);
}

function registerDeleting(app: FastifyInstance, context: PageContext): void {
  const { journal, now } = context;

  app.post("/mounts/:id/deletion", async (request, reply) => {
    const id = idOf(request, "mount");
    const mount = journal.mounts.findDeleted(id) ?? mountOf(context, id);
    try {
      if (journal.mounts.find(id)) await journal.write(() => removeMount(id, null, { journal, now: now() }));
      return reply.redirect(withQuery(paths.mounts(mount.buildId), { gone: mount.id }), 303);
    } catch (error) {
      const form = formAfter(error, mountWritten(mount));
      return mountsAnswer(context, reply, buildOf(context, mount.buildId), mount, form);
    }
  });

  app.post("/mounts/:id/restoration", async (request, reply) => {
    const id = idOf(request, "mount");
    const mount = await journal.write(() => restoreMount(id, { journal, now: now() }));
    return reply.redirect(paths.mounts(mount.buildId), 303);
  });
}

const mountWritten = (mount: Mount): Typed => ({
  ...thingWritten(mountFields, mount),
  version: String(mount.version),
});

/** A blank date leaves it to whoever asked: now for a new mount, as it was for one that is there. */
function mountTyped(typed: Typed): Partial<MountDraft> {
  const { mountedAt, note, ...rest } = thingTyped(mountFields, typed);
  return read(
    mountDraft.partial(),
    { ...rest, note: note ?? "", ...(mountedAt === null ? {} : { mountedAt }) },
    "The mount",
  ) as Partial<MountDraft>;
}

function buildOf({ journal }: PageContext, id: string): Build {
  const build = journal.builds.find(id);
  if (!build) throw missing("build");
  return build;
}

function mountOf({ journal }: PageContext, id: string): Mount {
  const mount = journal.mounts.find(id);
  if (!mount) throw missing("mount");
  return mount;
}

function goneOf({ journal }: PageContext, id: string | null): Gone | null {
  const mount = id === null ? undefined : journal.mounts.findDeleted(id);
  if (!mount) return null;
  const when = mount.mountedAt === null ? "with the build" : formatMoment(mount.mountedAt, "moment");
  return { thing: "mounts", id: mount.id, name: `Mount of ${when}` };
}

function mountsAnswer(
  context: PageContext,
  reply: FastifyReply,
  build: Build,
  editing: Mount | null,
  form: FormState,
  gone: Gone | null = null,
): FastifyReply {
  const { mounts, attempts, pictures } = context.journal;
  const rows = mounts.pageOf(build.id, { limit: 500, after: null }).items.map((mount) => ({
    mount,
    attempts: attempts.countOnMount(build.id, mount.id),
    pictures: pictures.of("mounts", mount.id).length,
  }));
  const history = editing === null ? null : historyOf("mounts", editing.id, context.journal);
  const shown = { build, rows, editing, history, form, gone };
  const page = <MountsPage frame={frameOf(context, "builds")} shown={shown} />;
  return sendPage(reply, pageHtml(page), form.refused === null ? 200 : 422);
}
