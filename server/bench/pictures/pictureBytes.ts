import { invalid, Refusal } from "../things/refusal.ts";
import { type CleanedPicture, type PictureType, pictureLimitBytes, pictureLimitPx } from "./picture.ts";
import { jpegWithoutNotes } from "./pictureJpeg.ts";
import { pngWithoutNotes } from "./picturePng.ts";
import { webpWithoutNotes } from "./pictureWebp.ts";

/** A picture as it is kept: nothing in it but what is seen and which way up it is held. */
export type PictureBytes = Readonly<{
  type: PictureType;
  widthPx: number;
  heightPx: number;
  bytes: Uint8Array;
}>;

const starts = (bytes: Uint8Array, at: number, signs: string): boolean =>
  [...signs].every((sign, i) => bytes[at + i] === sign.charCodeAt(0));

/** The kind by its first bytes, whatever its name or the browser says. */
export function pictureTypeOf(bytes: Uint8Array): PictureType | null {
  if (bytes[0] === 0xff && bytes[1] === 0xd8 && bytes[2] === 0xff) return "image/jpeg";
  if (starts(bytes, 0, "\u0089PNG\r\n\u001a\n")) return "image/png";
  return starts(bytes, 0, "RIFF") && starts(bytes, 8, "WEBP") ? "image/webp" : null;
}

const cleaners: Readonly<Record<PictureType, (bytes: Uint8Array) => CleanedPicture | null>> = {
  "image/jpeg": jpegWithoutNotes,
  "image/png": pngWithoutNotes,
  "image/webp": webpWithoutNotes,
};

/** Takes a picture apart and puts it together without where, when and with what it was taken. */
export function pictureBytesOf(sent: Uint8Array): PictureBytes {
  if (sent.length > pictureLimitBytes) throw tooLarge(sent.length);
  const type = pictureTypeOf(sent);
  if (type === null)
    throw invalid("This is not a JPEG, PNG or WebP picture.", beside("Choose one of those."));
  const cleaned = cleaners[type](sent);
  if (cleaned === null || cleaned.widthPx < 1 || cleaned.heightPx < 1)
    throw invalid(
      "This picture is damaged or cut short, so it was not kept.",
      beside("Choose another file."),
    );
  const { orientation, bytes } = cleaned;
  const { widthPx, heightPx } = cleaned;
  if (widthPx * heightPx > pictureLimitPx)
    throw invalid(
      `A picture may have at most ${pictureLimitPx / 1e6} million points; this one is ${widthPx} by ${heightPx}.`,
      beside("Make it smaller, then try again."),
    );
  const isTurned = orientation >= 5;
  return {
    type,
    widthPx: isTurned ? heightPx : widthPx,
    heightPx: isTurned ? widthPx : heightPx,
    bytes,
  };
}

const beside = (words: string) => ({ image: words });

/** Never so far rounded down that too large looks like enough. */
const mebibytes = (bytes: number): string => (Math.ceil((bytes * 10) / (1 << 20)) / 10).toFixed(1);

export const tooLarge = (bytes: number | null): Refusal =>
  new Refusal(
    "too-large",
    `A picture may have at most ${pictureLimitBytes >> 20} MiB${bytes === null ? "" : `; this one has ${mebibytes(bytes)}`}.`,
    beside("Make it smaller, then try again."),
  );
