import type { FastifyInstance } from "fastify";
import * as z from "zod";
import {
  addPicture,
  captionPicture,
  placeOfPicture,
  removePicture,
  restorePicture,
} from "../actions/pictures.ts";
import { type Pictured, pictureCaption, pictured, pictureEdit } from "../bench/pictures/picture.ts";
import { missing } from "../bench/things/refusal.ts";
import type { Context } from "../requests/context.ts";
import { pictureIn, takePictures } from "../requests/pictureUpload.ts";
import { bodyOf, expectedVersion, idOf, idParams, noQuery, queryOf } from "../requests/reading.ts";
import { answerDone, answerEdit, answerPost, etagOf } from "./answering.ts";
import { blankingAddress, historyAddress, undoingAddress } from "./thingAddress.ts";

const tags = ["pictures"];
const one = { schema: { tags, params: idParams } };
const postQuery = z.strictObject({ caption: pictureCaption.optional() });
const whatOf: Readonly<Record<Pictured, string>> = {
  builds: "build",
  mounts: "mount",
  attempts: "attempt",
};

/** Pictures of builds, mounts and attempts: kept without place and time, given back as they are kept. */
export function registerPictures(app: FastifyInstance, context: Context): void {
  const { pictures } = context.journal;

  for (const thing of pictured) {
    app.get(`/api/${thing}/:id/pictures`, one, (request) => {
      const id = idOf(request, whatOf[thing]);
      placeOfPicture({ thing, id }, context);
      return { items: pictures.of(thing, id), next: null };
    });
  }

  app.register(async (inner) => {
    await takePictures(inner);
    const schema = { tags, params: idParams, querystring: postQuery };
    for (const thing of pictured) {
      inner.post(`/api/${thing}/:id/pictures`, { schema }, async (request, reply) => {
        const id = idOf(request, whatOf[thing]);
        const sent = await pictureIn(request, queryOf(postQuery, request).caption);
        return answerPost(context, request, reply, 201, (at) => addPicture({ thing, id }, sent, at));
      });
    }
  });

  app.get("/api/pictures/:id", one, (request, reply) => {
    const picture = pictures.find(idOf(request, "picture"));
    if (!picture) throw missing("picture");
    return reply.header("etag", etagOf(picture)).send(picture);
  });

  app.get("/api/pictures/:id/image", one, (request, reply) => {
    const picture = pictures.find(idOf(request, "picture"));
    const image = picture && pictures.imageOf(picture.id);
    if (!image) throw missing("picture");
    return reply
      .type(picture.type)
      .header("content-disposition", "inline")
      .header("content-security-policy", "default-src 'none'; sandbox")
      .header("cache-control", "private, max-age=31536000, immutable")
      .send(image);
  });

  app.patch(
    "/api/pictures/:id",
    { schema: { tags, params: idParams, body: pictureEdit } },
    (request, reply) => {
      const id = idOf(request, "picture");
      const { caption } = bodyOf(pictureEdit, request);
      return answerEdit(context, reply, (at) => captionPicture(id, caption, expectedVersion(request), at));
    },
  );

  app.delete("/api/pictures/:id", one, (request, reply) => {
    const id = idOf(request, "picture");
    return answerDone(context, reply, (at) => removePicture(id, expectedVersion(request), at));
  });

  app.put("/api/pictures/:id/restoration", one, (request, reply) => {
    const id = idOf(request, "picture");
    return answerEdit(context, reply, (at) => restorePicture(id, at));
  });

  historyAddress(app, context, "pictures", "picture");
  undoingAddress(app, context, "pictures", "picture");
  blankingAddress(app, context, "pictures", "picture");
}
