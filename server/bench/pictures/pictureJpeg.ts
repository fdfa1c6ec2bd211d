import type { CleanedPicture } from "./picture.ts";
import { orientationBlock, orientationIn } from "./pictureOrientation.ts";

/** Segments without a length: a start, an end, restarts, and one for arithmetic coding. */
const standsAlone = (marker: number): boolean => marker === 0x01 || (marker >= 0xd0 && marker <= 0xd9);

/** A frame header: every SOF but the tables and the extension that share its range. */
const isFrame = (marker: number): boolean =>
  marker >= 0xc0 && marker <= 0xcf && marker !== 0xc4 && marker !== 0xc8 && marker !== 0xcc;

/** Tables, frames and scans: what the picture is made of. Anything else is a note or unknown. */
const isOfPicture = (marker: number): boolean =>
  (marker >= 0xc0 && marker <= 0xcf && marker !== 0xc8) || (marker >= 0xda && marker <= 0xdf);

const textIn = (bytes: Uint8Array, from: number, length: number): string =>
  String.fromCharCode(...bytes.subarray(from, from + length));

/** Of the notes only those are kept that say how colours are meant: a profile, and how the components were turned. */
function isOfColour(marker: number, body: Uint8Array): boolean {
  if (marker === 0xe2) return textIn(body, 0, 12) === "ICC_PROFILE\0";
  return marker === 0xee && body.length === 12 && textIn(body, 0, 5) === "Adobe";
}

const segment = (marker: number, body: Uint8Array): Uint8Array => {
  const whole = new Uint8Array(4 + body.length);
  whole.set([0xff, marker, (body.length + 2) >> 8, (body.length + 2) & 0xff]);
  whole.set(body, 4);
  return whole;
};

const exifName = Uint8Array.from("Exif\0\0", (sign) => sign.charCodeAt(0));

const exifWith = (orientation: number): Uint8Array =>
  segment(0xe1, Uint8Array.of(...exifName, ...orientationBlock(orientation)));

/** JFIF without its little picture: version 1.2, no density. */
const jfif = segment(0xe0, Uint8Array.of(0x4a, 0x46, 0x49, 0x46, 0, 1, 2, 0, 0, 1, 0, 1, 0, 0));

/** A JPEG (ITU-T T.81) without notes of any kind and without what hangs on behind its end; null where it is damaged. */
export function jpegWithoutNotes(bytes: Uint8Array): CleanedPicture | null {
  const kept: Uint8Array[] = [];
  let orientation = 1;
  let size: readonly [width: number, height: number] | null = null;
  let isJfif = false;
  let at = 2;
  for (;;) {
    const marker = markerAt(bytes, at);
    if (marker === null) return null;
    at = marker.end;
    if (marker.code === 0xd9) break;
    if (standsAlone(marker.code)) {
      kept.push(Uint8Array.of(0xff, marker.code));
      continue;
    }
    const body = bodyAt(bytes, at);
    if (body === null) return null;
    at += 2 + body.length;
    if (isFrame(marker.code)) size = sizeIn(body);
    if (marker.code === 0xe1 && textIn(body, 0, 6) === "Exif\0\0")
      orientation = orientationIn(body.subarray(6));
    if (marker.code === 0xe0 && textIn(body, 0, 5) === "JFIF\0") isJfif = true;
    if (isOfPicture(marker.code) || isOfColour(marker.code, body)) kept.push(segment(marker.code, body));
    if (marker.code === 0xda) {
      const end = scanEnd(bytes, at);
      kept.push(bytes.subarray(at, end));
      at = end;
    }
  }
  if (size === null) return null;
  const head = [...(isJfif ? [jfif] : []), ...(orientation === 1 ? [] : [exifWith(orientation)])];
  const parts = [Uint8Array.of(0xff, 0xd8), ...head, ...kept, Uint8Array.of(0xff, 0xd9)];
  return { widthPx: size[0], heightPx: size[1], orientation, bytes: Buffer.concat(parts) };
}

/** The next marker, over any filling before it. */
function markerAt(bytes: Uint8Array, from: number): { code: number; end: number } | null {
  let at = from;
  if (bytes[at] !== 0xff) return null;
  while (bytes[at] === 0xff) at += 1;
  const code = bytes[at];
  return code === undefined || code === 0 ? null : { code, end: at + 1 };
}

function bodyAt(bytes: Uint8Array, at: number): Uint8Array | null {
  const length = ((bytes[at] ?? 0) << 8) | (bytes[at + 1] ?? 0);
  if (length < 2 || at + length > bytes.length) return null;
  return bytes.subarray(at + 2, at + length);
}

/** Height before width, after the precision. */
const sizeIn = (body: Uint8Array): readonly [number, number] | null =>
  body.length < 6 ? null : [(body[3]! << 8) | body[4]!, (body[1]! << 8) | body[2]!];

/** Where the coded data end: at the next marker that is neither a stuffed byte nor a restart. */
function scanEnd(bytes: Uint8Array, from: number): number {
  for (let at = bytes.indexOf(0xff, from); at >= 0; at = bytes.indexOf(0xff, at + 1)) {
    const next = bytes[at + 1] ?? 0;
    const isData = next === 0 || (next >= 0xd0 && next <= 0xd7) || next === 0xff;
    if (!isData) return at;
  }
  return bytes.length;
}
