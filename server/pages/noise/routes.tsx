import type { FastifyInstance, FastifyReply, FastifyRequest } from "fastify";
import { addNoise, editNoise, removeNoise, restoreNoise } from "../../actions/noise.ts";
import { noiseFindings } from "../../bench/noise/noise.ts";
import type { NoiseReading } from "../../bench/noise/noiseReading.ts";
import { missing } from "../../bench/things/refusal.ts";
import { isId } from "../../bench/things/units.ts";
import { pageHtml } from "../../html/document.tsx";
import { formatNumber } from "../../html/format.ts";
import { idOf } from "../../requests/reading.ts";
import { idAsked } from "../kit/addressed.ts";
import type { PageContext } from "../kit/context.ts";
import { type Typed, typedIn } from "../kit/forms.ts";
import type { Gone } from "../kit/goneNotice.tsx";
import { doneOnce, formOnce } from "../kit/once.tsx";
import { sendPage } from "../kit/sendPage.ts";
import { paths } from "../paths.ts";
import { frameOf } from "../siteMap.ts";
import { readingFormAfter, readingTyped, readingWritten } from "./form.ts";
import { buildAskedFor, type NoiseShown, noiseShown } from "./shown.ts";
import { NoBuildPage, NoisePage } from "./view.tsx";

const hidden = { schema: { hide: true } };

export function registerNoisePages(app: FastifyInstance, context: PageContext): void {
  const { journal, now } = context;
  const at = () => ({ journal, now: now() });

  app.get("/noise", hidden, (request, reply) => {
    const buildId = buildAskedFor(request, context);
    if (buildId === null) return sendPage(reply, pageHtml(<NoBuildPage frame={frameOf(context, "noise")} />));
    const shown = noiseShown(context, buildId, now(), {
      kept: keptAsked(request, context),
      gone: goneAsked(request, context),
    });
    return noiseAnswer(context, reply, shown);
  });

  app.post("/noise", hidden, async (request, reply) => {
    const typed = typedIn(request.body);
    const buildId = buildTyped(typed);
    try {
      const draft = readingTyped(typed);
      const address = await doneOnce(context, paths.noise(), typed, (within) =>
        paths.noise({ build: buildId, kept: addNoise(buildId, draft, within).id }),
      );
      return reply.redirect(address, 303);
    } catch (error) {
      const form = readingFormAfter(error, typed);
      return noiseAnswer(context, reply, noiseShown(context, buildId, now(), { form }));
    }
  });

  app.get("/noise/:id", hidden, (request, reply) => {
    const editing = readingOf(context, idOf(request, "noise reading"));
    const form = formOnce(context, readingWritten(editing));
    return noiseAnswer(context, reply, noiseShown(context, editing.buildId, now(), { editing, form }));
  });

  app.post("/noise/:id", hidden, async (request, reply) => {
    const editing = readingOf(context, idOf(request, "noise reading"));
    const typed = typedIn(request.body);
    try {
      const edit = readingTyped(typed);
      const version = Number.parseInt(typed.version ?? "", 10);
      const known = Number.isInteger(version) ? version : null;
      const address = await doneOnce(context, paths.noiseReading(editing.id), typed, (within) => {
        editNoise(editing.id, edit, known, within);
        return paths.noise({ build: editing.buildId, kept: editing.id });
      });
      return reply.redirect(address, 303);
    } catch (error) {
      const standing = () => readingWritten(readingOf(context, editing.id));
      const form = readingFormAfter(error, typed, standing);
      return noiseAnswer(context, reply, noiseShown(context, editing.buildId, now(), { editing, form }));
    }
  });

  app.post("/noise/:id/deletion", hidden, async (request, reply) => {
    const wanted = idOf(request, "noise reading");
    const { id, buildId } = journal.noise.findDeleted(wanted) ?? readingOf(context, wanted);
    if (journal.noise.find(id)) await journal.write(() => removeNoise(id, null, at()));
    return reply.redirect(paths.noise({ build: buildId, gone: id }), 303);
  });

  app.post("/noise/:id/restoration", hidden, async (request, reply) => {
    const id = idOf(request, "noise reading");
    const { buildId } = await journal.write(() => restoreNoise(id, at()));
    return reply.redirect(paths.noise({ build: buildId, kept: id }), 303);
  });
}

function noiseAnswer(context: PageContext, reply: FastifyReply, shown: NoiseShown): FastifyReply {
  const page = <NoisePage frame={frameOf(context, "noise")} shown={shown} />;
  return sendPage(reply, pageHtml(page), shown.form.refused === null ? 200 : 422);
}

function buildTyped({ build = "" }: Typed): string {
  if (!isId(build)) throw missing("build");
  return build;
}

function readingOf({ journal }: PageContext, id: string): NoiseReading {
  const reading = journal.noise.find(id);
  if (!reading) throw missing("noise reading");
  return reading;
}

function keptAsked(request: FastifyRequest, { journal }: PageContext): NoiseReading | null {
  const id = idAsked(request, "kept", "noise reading");
  return id === null ? null : (journal.noise.find(id) ?? null);
}

function goneAsked(request: FastifyRequest, { journal }: PageContext): Gone | null {
  const id = idAsked(request, "gone", "noise reading");
  const reading = id === null ? undefined : journal.noise.findDeleted(id);
  if (!reading) return null;
  const { meanDba } = noiseFindings(reading);
  return { thing: "noise", id: reading.id, name: `Reading of ${formatNumber(meanDba, 1)} dB(A)` };
}
