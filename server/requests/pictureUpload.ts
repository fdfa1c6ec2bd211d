import fastifyMultipart from "@fastify/multipart";
import type { FastifyInstance, FastifyRequest } from "fastify";
import { pictureCaption, pictureLimitBytes } from "../bench/pictures/picture.ts";
import { tooLarge } from "../bench/pictures/pictureBytes.ts";
import { invalid } from "../bench/things/refusal.ts";
import { read } from "./reading.ts";

export type PictureSent = Readonly<{
  bytes: Buffer;
  caption: string;
  /** The key of the form it came in. */
  once?: string | undefined;
}>;

/** A little more is read than is kept, so that what is too large can be told its own size. */
const readBytes = pictureLimitBytes + (4 << 20);

/** Makes the routes of `inner` take a picture as it is, or in a form with its caption. Every limit is set. */
export async function takePictures(inner: FastifyInstance): Promise<void> {
  // What is refused here is told its own size, so nothing before may refuse it without.
  inner.addHook("onRoute", (route) => {
    route.bodyLimit = Number.MAX_SAFE_INTEGER;
  });
  inner.addHook("onRequest", async (request) => {
    const length = Number(request.headers["content-length"] ?? 0);
    if (length > readBytes) throw tooLarge(length);
  });
  const raw = { parseAs: "buffer" as const, bodyLimit: readBytes };
  for (const type of ["application/octet-stream", /^image\//])
    inner.addContentTypeParser(type, raw, (_, body, done) => done(null, body));
  await inner.register(fastifyMultipart, {
    throwFileSizeLimit: false,
    limits: {
      fileSize: readBytes,
      files: 1,
      fields: 3,
      parts: 4,
      fieldSize: 8000,
      fieldNameSize: 40,
      headerPairs: 40,
    },
  });
}

/** The picture in a request, raw with its caption in the address, or in a form with `image` and `caption`. */
export async function pictureIn(request: FastifyRequest, captionAsked = ""): Promise<PictureSent> {
  const { bytes, caption, once } = request.isMultipart()
    ? await pictureInForm(request)
    : { bytes: request.body, caption: captionAsked, once: undefined };
  if (!Buffer.isBuffer(bytes) || bytes.length === 0)
    throw invalid("There is no picture in the request.", { image: "Choose a picture." });
  request.body = bytes; // what a repeat of the request is told from
  return { bytes, caption: read(pictureCaption, caption, "The caption"), once };
}

type InForm = Omit<PictureSent, "bytes"> & { bytes: Buffer | null };

async function pictureInForm(request: FastifyRequest): Promise<InForm> {
  let bytes: Buffer | null = null;
  let caption = "";
  let once: string | undefined;
  for await (const part of request.parts()) {
    if (part.type === "file") {
      bytes = await part.toBuffer();
      if (part.file.truncated) throw tooLarge(null);
    } else if (part.fieldname === "caption") caption = String(part.value);
    else if (part.fieldname === "once") once = String(part.value);
  }
  return { bytes, caption, once };
}
