import { createHash } from "node:crypto";
import type { FastifyInstance, FastifyReply } from "fastify";
import { type ImportOrder, importAttempts, importPreview } from "../../actions/importAttempts.ts";
import { invalid, Refusal } from "../../bench/things/refusal.ts";
import { isId } from "../../bench/things/units.ts";
import { attemptFileLimits, attemptFileOf, textOf } from "../../csv/attemptFile.ts";
import { mappingRemembered } from "../../csv/attemptMapping.ts";
import { pageHtml } from "../../html/document.tsx";
import { takeUploads, type Upload, uploadIn } from "../../requests/uploads.ts";
import { idAsked, numberAsked } from "../kit/addressed.ts";
import type { PageContext } from "../kit/context.ts";
import { type FormState, formAfter, freshForm, type Typed } from "../kit/forms.ts";
import { sendPage } from "../kit/sendPage.ts";
import { paths, withQuery } from "../paths.ts";
import { frameOf } from "../siteMap.ts";
import { mappingTyped } from "./mappingTyped.ts";
import { ImportedPage, ImportPage, type ImportRead } from "./view.tsx";

const limits = { fileBytes: attemptFileLimits.bytes, fieldBytes: attemptFileLimits.bytes, fields: 500 };

export async function registerImportPages(app: FastifyInstance, context: PageContext): Promise<void> {
  await app.register(async (inner) => {
    await takeUploads(inner, limits);
    const bodyLimit = 2 * attemptFileLimits.bytes;

    inner.get("/journal/import", (request, reply) => {
      const build = idAsked(request, "build", "build");
      return importAnswer(context, reply, freshForm(build === null ? {} : { build }), null);
    });

    inner.post("/journal/import", { bodyLimit }, async (request, reply) => {
      const upload = await uploadIn(request);
      if (upload.typed.act === "import") return importNow(context, reply, upload);
      return lookedAtAnswer(context, reply, upload);
    });

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

async function importNow(context: PageContext, reply: FastifyReply, upload: Upload): Promise<FastifyReply> {
  const { journal, now } = context;
  const order = orderFrom(context, upload);
  if ("refused" in order) return importAnswer(context, reply, order.refused, null);
  if (order.seen !== upload.typed.seen) return lookedAtAnswer(context, reply, upload);
  try {
    const result = await journal.write(() => importAttempts(order, { journal, now: now() }));
    return reply.redirect(withQuery("/journal/imported", { build: order.buildId, ...result }), 303);
  } catch (error) {
    const form = formAfter(error, upload.typed);
    return importAnswer(context, reply, form, { ...order, text: upload.typed.text ?? "", preview: null });
  }
}

function lookedAtAnswer(context: PageContext, reply: FastifyReply, upload: Upload): FastifyReply {
  const { form, read } = lookedAt(context, upload);
  return importAnswer(context, reply, form, read);
}

type Order = ImportOrder & Readonly<{ text: string; seen: string }>;

/** The file with its mapping as it was remembered and chosen; or the form again, where it is no such file. */
function orderFrom({ journal }: PageContext, { typed, file: bytes }: Upload): Order | { refused: FormState } {
  try {
    if (!isId(typed.build ?? "") || !journal.builds.find(typed.build ?? ""))
      throw invalid("Choose the build the attempts are of.", { build: "Choose a build." });
    const text = bytes === null ? (typed.text ?? "") : textOf(bytes);
    const file = attemptFileOf(text);
    const usual = mappingRemembered(journal.importMappings.find(file.key), file, typed.here?.trim() || "UTC");
    const order = {
      file,
      text,
      mapping: mappingTyped(typed, file, usual),
      buildId: typed.build ?? "",
      aboveCeiling: typed.aboveCeiling === "true",
    };
    return { ...order, seen: seenOf(order) };
  } catch (error) {
    if (error instanceof Refusal && error.code === "too-large")
      return { refused: { typed, refused: { message: error.message, fields: {} } } };
    return { refused: formAfter(error, typed) };
  }
}

/** A browser sends every line end of a text as CRLF. */
function seenOf({ text, mapping, buildId, aboveCeiling }: ImportOrder & { text: string }): string {
  const lines = text.replace(/^\ufeff/, "").replace(/\r\n?/g, "\n");
  return createHash("sha256")
    .update(JSON.stringify([lines, mapping, buildId, aboveCeiling]))
    .digest("base64url");
}

function lookedAt(context: PageContext, upload: Upload): { form: FormState; read: ImportRead | null } {
  const order = orderFrom(context, upload);
  if ("refused" in order) return { form: order.refused, read: null };
  const { journal, now } = context;
  const typed: Typed = upload.typed;
  try {
    return {
      form: freshForm(typed),
      read: { ...order, preview: importPreview(order, { journal, now: now() }) },
    };
  } catch (error) {
    return { form: formAfter(error, typed), read: { ...order, preview: null } };
  }
}

function importAnswer(
  context: PageContext,
  reply: FastifyReply,
  form: FormState,
  read: ImportRead | null,
): FastifyReply {
  const { builds, workloads } = context.journal;
  const shown = { builds: builds.all(), workloads: workloads.all(), form, read };
  const status = form.refused === null ? 200 : 422;
  return sendPage(reply, pageHtml(<ImportPage frame={frameOf(context, "journal")} shown={shown} />), status);
}
