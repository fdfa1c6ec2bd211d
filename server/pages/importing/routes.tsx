import type { FastifyInstance, FastifyReply } from "fastify";
import { importFile } from "../../actions/importFile.ts";
import type { ImportOnPage } from "../../actions/importMessages.ts";
import { invalid, Refusal } from "../../bench/things/refusal.ts";
import { isId } from "../../bench/things/units.ts";
import { attemptFileLimits, textOf } from "../../csv/attemptFile.ts";
import { pageHtml } from "../../html/document.tsx";
import { takeUploads, type Upload, uploadIn } from "../../requests/uploads.ts";
import { idAsked, numberAsked } from "../kit/addressed.ts";
import type { PageContext } from "../kit/context.ts";
import { type FormState, formAfter, type Typed } from "../kit/forms.ts";
import { formOnce } from "../kit/once.tsx";
import { sendPage } from "../kit/sendPage.ts";
import { paths, withQuery } from "../paths.ts";
import { frameOf } from "../siteMap.ts";
import { ImportedPage, ImportPage, type ImportShown } from "./view.tsx";

const limits = { fileBytes: attemptFileLimits.bytes, fieldBytes: attemptFileLimits.bytes, fields: 500 };

export async function registerImportPages(app: FastifyInstance, context: PageContext): Promise<void> {
  await app.register(async (inner) => {
    await takeUploads(inner, limits);
    const bodyLimit = 2 * attemptFileLimits.bytes;

    inner.get("/journal/import", (request, reply) => {
      const build = idAsked(request, "build", "build");
      return importAnswer(context, reply, {
        form: formOnce(context, build === null ? {} : { build }),
        read: null,
        text: "",
      });
    });

    inner.post("/journal/import", { bodyLimit }, async (request, reply) =>
      fileAnswer(context, reply, await uploadIn(request)),
    );

    inner.get("/journal/imported", (request, reply) => {
      const build = context.journal.builds.find(idAsked(request, "build", "build") ?? "");
      if (!build) return reply.redirect(paths.importAttempts(), 303);
      const count = (name: string) => numberAsked(request, name) ?? 0;
      const result = { added: count("added"), already: count("already"), refused: count("refused") };
      return sendPage(
        reply,
        pageHtml(<ImportedPage frame={frameOf(context, "journal")} done={{ result, build }} />),
      );
    });
  });
}

/** Looks at the file as it was chosen, and where it is the one that was seen and is to be imported, imports it. */
async function fileAnswer(context: PageContext, reply: FastifyReply, upload: Upload): Promise<FastifyReply> {
  const { typed } = upload;
  let text = typed.text ?? "";
  try {
    if (upload.file !== null) text = textOf(upload.file);
    const answer = await importFile(context, askedBy(context, typed, text));
    if (answer.kind === "imported")
      return reply.redirect(withQuery("/journal/imported", { build: typed.build, ...answer.result }), 303);
    if (answer.kind !== "read") throw new Error("A file of the page was taken by itself.");
    return importAnswer(context, reply, {
      form: { typed, refused: answer.refused },
      read: answer.read,
      text,
    });
  } catch (error) {
    return importAnswer(context, reply, { form: formRefused(error, typed), read: null, text });
  }
}

function askedBy({ journal }: PageContext, typed: Typed, text: string): ImportOnPage {
  const { build = "", text: _, ...choices } = typed;
  if (!isId(build) || !journal.builds.find(build))
    throw invalid("Choose the build the attempts are of.", { build: "Choose a build." });
  const kind = typed.act === "import" ? "import" : "look";
  const once = isId(typed.once ?? "") ? (typed.once ?? null) : null;
  return { kind, text, buildId: build, zone: typed.here?.trim() || "UTC", typed: choices, once };
}

const formRefused = (error: unknown, typed: Typed): FormState =>
  error instanceof Refusal && error.code === "too-large"
    ? { typed, refused: { message: error.message, fields: {} } }
    : formAfter(error, typed);

type Shown = Pick<ImportShown, "form" | "read" | "text">;

function importAnswer(context: PageContext, reply: FastifyReply, what: Shown): FastifyReply {
  const { builds, workloads } = context.journal;
  const shown = { builds: builds.all(), workloads: workloads.all(), ...what };
  const status = what.form.refused === null ? 200 : 422;
  return sendPage(reply, pageHtml(<ImportPage frame={frameOf(context, "journal")} shown={shown} />), status);
}
