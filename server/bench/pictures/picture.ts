import * as z from "zod";
import type { Kept } from "../things/thing.ts";
import { id, text } from "../things/units.ts";

const pictureTypes = ["image/jpeg", "image/png", "image/webp"] as const;
export type PictureType = (typeof pictureTypes)[number];

/** A picture of the mount, the firmware page or the meter's place. It belongs to a build, or to a mount or attempt of it. */
export type Picture = Kept &
  Readonly<{
    buildId: string;
    mountId: string | null;
    attemptId: string | null;
    caption: string;
    type: PictureType;
    /** As it is seen, turned the way it was held. */
    widthPx: number;
    heightPx: number;
    sizeBytes: number;
  }>;

/** What of the journal a picture may be attached to. */
export const pictured = ["builds", "mounts", "attempts"] as const;
export type Pictured = (typeof pictured)[number];

export const pictureCaption = text(500);
export const pictureEdit = z.strictObject({ caption: pictureCaption });

/** The largest picture that is kept, as it is sent: 12 MiB, more than a telephone makes. */
export const pictureLimitBytes = 12 << 20;

/** So many points a browser can still unpack on a telephone. */
export const pictureLimitPx = 100_000_000;

/** A build with its mounts and attempts has at most so many. */
export const mostPicturesOfBuild = 200;

/** What a reader of one kind of picture gives: the size as stored and the turn that shows it upright, 1 to 8. */
export type CleanedPicture = Readonly<{
  widthPx: number;
  heightPx: number;
  orientation: number;
  bytes: Uint8Array;
}>;

/** Bytes as text. One look at the signs: a pattern over the whole would run out of room on a large picture. */
const base64 = z
  .string()
  .max(Math.ceil(pictureLimitBytes / 3) * 4 + 4)
  .refine((text) => text.length % 4 === 0 && !/[^0-9A-Za-z+/=]/.test(text), "This is not base 64.");

/** A picture in an exported journal. */
export const pictureInDocument = {
  buildId: id,
  mountId: id.nullish(),
  attemptId: id.nullish(),
  caption: pictureCaption,
  image: base64,
};
