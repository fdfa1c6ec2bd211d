import fastifyMultipart from "@fastify/multipart";
import type { FastifyInstance, FastifyRequest } from "fastify";
import { Refusal } from "../bench/things/refusal.ts";

export type UploadLimits = Readonly<{
  fileBytes: number;
  /** Of one field that is no file. */
  fieldBytes: number;
  fields: number;
}>;

/** A form that may carry one file. `file` is null where none was chosen. */
export type Upload = Readonly<{ typed: Readonly<Record<string, string>>; file: Buffer | null }>;

/** Makes the routes of `inner` take multipart forms, with every limit set. */
export async function takeUploads(inner: FastifyInstance, limits: UploadLimits): Promise<void> {
  await inner.register(fastifyMultipart, {
    throwFileSizeLimit: true,
    limits: {
      fileSize: limits.fileBytes,
      fieldSize: limits.fieldBytes,
      fields: limits.fields,
      files: 1,
      parts: limits.fields + 1,
      fieldNameSize: 300,
      headerPairs: 50,
    },
  });
}

export async function uploadIn(request: FastifyRequest): Promise<Upload> {
  const typed: Record<string, string> = {};
  let file: Buffer | null = null;
  for await (const part of request.parts()) {
    if (part.type === "file") file = wholeOrNone(await part.toBuffer());
    else if (part.valueTruncated)
      throw new Refusal("too-large", "This is longer than is taken in one piece.");
    else typed[part.fieldname] = String(part.value);
  }
  return { typed, file };
}

const wholeOrNone = (bytes: Buffer): Buffer | null => (bytes.length === 0 ? null : bytes);
