import { crc32 } from "node:zlib";
import type { CleanedPicture } from "./picture.ts";
import { orientationBlock, orientationIn } from "./pictureOrientation.ts";

const signature = 8;

/** What is seen and how colours are meant. All else is text, time, place or the maker's own; an animation stays its first picture. */
const seen: ReadonlySet<string> = new Set(
  "IHDR PLTE IDAT IEND tRNS gAMA cHRM sRGB iCCP sBIT bKGD pHYs cICP".split(" "),
);

/** A PNG (W3C, ISO/IEC 15948) without notes and without what hangs on behind its end; null where it is damaged. */
export function pngWithoutNotes(bytes: Uint8Array): CleanedPicture | null {
  const view = new DataView(bytes.buffer, bytes.byteOffset, bytes.byteLength);
  const kept: Uint8Array[] = [];
  let orientation = 1;
  let isDrawn = false;
  for (let at = signature; at + 12 <= bytes.length; ) {
    const length = view.getUint32(at);
    const end = at + 12 + length;
    if (end > bytes.length) return null;
    const name = String.fromCharCode(...bytes.subarray(at + 4, at + 8));
    if ((at === signature) !== (name === "IHDR") || (name === "IHDR" && length !== 13)) return null;
    if (view.getUint32(end - 4) !== crc32(bytes.subarray(at + 4, end - 4))) return null;
    if (name === "eXIf") orientation = orientationIn(bytes.subarray(at + 8, end - 4));
    if (seen.has(name)) kept.push(bytes.subarray(at, end));
    isDrawn ||= name === "IDAT";
    at = end;
    if (name === "IEND") return isDrawn ? whole(bytes, kept, orientation) : null;
  }
  return null;
}

function whole(bytes: Uint8Array, kept: readonly Uint8Array[], orientation: number): CleanedPicture {
  const view = new DataView(bytes.buffer, bytes.byteOffset, bytes.byteLength);
  const [header, ...rest] = kept;
  const turn = orientation === 1 ? [] : [chunk("eXIf", orientationBlock(orientation))];
  const parts = [bytes.subarray(0, signature), header as Uint8Array, ...turn, ...rest];
  return {
    widthPx: view.getUint32(16),
    heightPx: view.getUint32(20),
    orientation,
    bytes: Buffer.concat(parts),
  };
}

function chunk(name: string, body: Uint8Array): Uint8Array {
  const made = Buffer.alloc(12 + body.length);
  made.writeUInt32BE(body.length, 0);
  made.write(name, 4, "latin1");
  made.set(body, 8);
  made.writeUInt32BE(crc32(made.subarray(4, -4)), made.length - 4);
  return made;
}
