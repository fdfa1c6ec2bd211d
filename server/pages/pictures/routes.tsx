import type { FastifyInstance, FastifyReply, FastifyRequest } from "fastify";
import {
  addPicture,
  captionPicture,
  type PicturedThing,
  placeOfPicture,
  removePicture,
  restorePicture,
} from "../../actions/pictures.ts";
import { type Picture, type Pictured, pictured, pictureEdit } from "../../bench/pictures/picture.ts";
import { digestOf } from "../../bench/things/digest.ts";
import { missing, Refusal } from "../../bench/things/refusal.ts";
import { isId } from "../../bench/things/units.ts";
import { pageHtml } from "../../html/document.tsx";
import { type PictureSent, pictureIn, takePictures } from "../../requests/pictureUpload.ts";
import { idOf, read } from "../../requests/reading.ts";
import { idAsked } from "../kit/addressed.ts";
import { unitsOfBuild } from "../kit/clockUnit.ts";
import type { PageContext } from "../kit/context.ts";
import { type FormState, formAfter, type Typed, typedIn } from "../kit/forms.ts";
import { doneOnce, formOnce } from "../kit/once.tsx";
import { sendPage } from "../kit/sendPage.ts";
import { settingWords } from "../kit/settingWords.tsx";
import { formAfterEdit } from "../kit/staleEdit.ts";
import { historyOf } from "../kit/thingHistory.tsx";
import { paths, withQuery } from "../paths.ts";
import { frameOf } from "../siteMap.ts";
import { PicturesPage, type PicturesShown } from "./view.tsx";

/** Pictures of a build, a mount or an attempt: attached, captioned, deleted and brought back. */
export function registerPicturePages(app: FastifyInstance, context: PageContext): void {
  const { journal } = context;

  for (const thing of pictured) {
    app.get(`/${thing}/:id/pictures`, (request, reply) => {
      const of = { thing, id: idOf(request, "picture") };
      return picturesAnswer(context, reply, of, formOnce(context), null, idAsked(request, "gone", "picture"));
    });
  }
  app.register(async (inner) => {
    await takePictures(inner);
    for (const thing of pictured) {
      inner.post(`/${thing}/:id/pictures`, (request, reply) => attachAnswer(context, thing, request, reply));
    }
  });

  app.post("/pictures/:id", async (request, reply) => {
    const id = idOf(request, "picture");
    const typed = typedIn(request.body);
    const of = ofTyped(typed, pictureOf(context, id));
    try {
      const { caption } = read(pictureEdit, { caption: typed.caption ?? "" }, "The caption");
      const version = Number(typed.version) || null;
      await journal.write(() => captionPicture(id, caption, version, at(context)));
      return reply.redirect(`${paths.pictures(of.thing, of.id)}#picture-${id}`, 303);
    } catch (error) {
      const form = formAfterEdit(error, typed, () => writtenOf(pictureOf(context, id)));
      return picturesAnswer(context, reply, of, form, id);
    }
  });

  app.post("/pictures/:id/deletion", async (request, reply) => {
    const id = idOf(request, "picture");
    const picture = journal.pictures.findDeleted(id) ?? pictureOf(context, id);
    const of = ofTyped(typedIn(request.body), picture);
    if (journal.pictures.find(id)) await journal.write(() => removePicture(id, null, at(context)));
    return reply.redirect(withQuery(paths.pictures(of.thing, of.id), { gone: id }), 303);
  });

  app.post("/pictures/:id/restoration", async (request, reply) => {
    const id = idOf(request, "picture");
    const picture = await journal.write(() => restorePicture(id, at(context)));
    const of = ownPlace(picture);
    return reply.redirect(`${paths.pictures(of.thing, of.id)}#picture-${id}`, 303);
  });
}

const at = ({ journal, now }: PageContext) => ({ journal, now: now() });

async function attachAnswer(
  context: PageContext,
  thing: Pictured,
  request: FastifyRequest,
  reply: FastifyReply,
): Promise<FastifyReply> {
  const of = { thing, id: idOf(request, "picture") };
  let sent: PictureSent | null = null;
  try {
    const read = await pictureIn(request);
    sent = read;
    const place = paths.pictures(thing, of.id);
    const address = await doneOnce(
      context,
      place,
      saidOf(read),
      (within) => `${place}#picture-${addPicture(of, read, within).id}`,
    );
    return reply.redirect(address, 303);
  } catch (error) {
    return picturesAnswer(context, reply, of, attachedAfter(error, sent), null);
  }
}

/** What tells a form with a picture from another. */
const saidOf = ({ once, caption, bytes }: PictureSent): Typed => ({
  ...{ once, caption },
  image: digestOf(bytes),
});

/** One that is too large can be mended like any other refusal here. */
function attachedAfter(error: unknown, sent: PictureSent | null): FormState {
  const typed = { caption: sent?.caption, once: sent?.once };
  if (error instanceof Refusal && error.code === "too-large")
    return { typed, refused: { message: error.message, fields: error.fields } };
  return formAfter(error, typed);
}

const pictureOf = ({ journal }: PageContext, id: string): Picture => {
  const picture = journal.pictures.find(id);
  if (!picture) throw missing("picture");
  return picture;
};

const writtenOf = ({ caption, version }: Picture): Typed => ({ caption, version: String(version) });

/** The page the picture belongs to most closely. */
const ownPlace = ({ buildId, mountId, attemptId }: Picture): PicturedThing => {
  if (attemptId !== null) return { thing: "attempts", id: attemptId };
  return mountId === null ? { thing: "builds", id: buildId } : { thing: "mounts", id: mountId };
};

/** Back to the page the form stood on. */
function ofTyped({ of = "" }: Typed, picture: Picture): PicturedThing {
  const [wanted, id = ""] = of.split("/");
  const thing = pictured.find((one) => one === wanted);
  return thing && isId(id) ? { thing, id } : ownPlace(picture);
}

function picturesAnswer(
  context: PageContext,
  reply: FastifyReply,
  of: PicturedThing,
  form: FormState,
  captioned: string | null,
  goneId: string | null = null,
): FastifyReply {
  const gone = goneId === null ? undefined : context.journal.pictures.findDeleted(goneId);
  const shown: PicturesShown = {
    of: { ...of, ...named(context, of) },
    pictures: context.journal.pictures.of(of.thing, of.id).map((picture) => ({
      picture,
      history: historyOf("pictures", picture.id, context.journal),
    })),
    form,
    captioned,
    gone: gone ? { thing: "pictures", id: gone.id, name: gone.caption || "The picture" } : null,
  };
  const page = <PicturesPage frame={frameOf(context, "builds")} shown={shown} />;
  return sendPage(reply, pageHtml(page), form.refused === null ? 200 : 422);
}

function named(context: PageContext, of: PicturedThing): Readonly<{ name: string; href: string }> {
  const { journal } = context;
  const { buildId } = placeOfPicture(of, context);
  const build = journal.builds.find(buildId);
  if (of.thing === "builds") return { name: build?.name ?? "the build", href: paths.build(of.id) };
  if (of.thing === "mounts")
    return { name: `a mount of ${build?.name ?? "the build"}`, href: paths.mounts(buildId) };
  const attempt = journal.attempts.find(of.id);
  if (!attempt) throw missing("attempt");
  return { name: settingWords(attempt, unitsOfBuild(journal, buildId)), href: paths.attempt(of.id) };
}
