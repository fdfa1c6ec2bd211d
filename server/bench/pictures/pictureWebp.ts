import { invalid } from "../things/refusal.ts";
import type { CleanedPicture } from "./picture.ts";
import { orientationBlock, orientationIn } from "./pictureOrientation.ts";

type Chunk = Readonly<{ name: string; body: Uint8Array }>;

const extended = "VP8X";
/** The order the format asks for; everything else in the file is left behind. */
const seen: readonly string[] = [extended, "ICCP", "ALPH", "VP8 ", "VP8L"];
const exifFlag = 0x08;
const noteFlags = 0x0c;
const animationFlag = 0x02;

/** A WebP (RFC 9649) without notes; null where it is damaged. Refuses one that moves. */
export function webpWithoutNotes(bytes: Uint8Array): CleanedPicture | null {
  const chunks = chunksIn(bytes);
  if (chunks === null) return null;
  const named = (name: string) => chunks.find((chunk) => chunk.name === name)?.body;
  const flags = named(extended)?.[0] ?? 0;
  if (flags & animationFlag)
    throw invalid("This picture moves, and only one that stands still can be kept.", {
      image: "Send one of its frames.",
    });
  const image = named("VP8 ") ?? named("VP8L");
  const size = image && imageSize(chunks.find(({ body }) => body === image)!);
  if (!size) return null;
  const orientation = orientationIn(tiffIn(named("EXIF")));
  const kept = chunks.filter(({ name }, i) => seen.includes(name) && isFirst(chunks, i));
  const turned = orientation === 1 || !named(extended) ? 1 : orientation;
  const exif = turned === 1 ? [] : [{ name: "EXIF", body: orientationBlock(turned) }];
  const flagged = kept.map((chunk) => (chunk.name === extended ? withFlags(chunk, flags, turned) : chunk));
  return { ...size, orientation: turned, bytes: fileOf([...flagged, ...exif]) };
}

const isFirst = (chunks: readonly Chunk[], i: number): boolean =>
  chunks.findIndex(({ name }) => name === chunks[i]?.name) === i;

function chunksIn(bytes: Uint8Array): Chunk[] | null {
  const view = new DataView(bytes.buffer, bytes.byteOffset, bytes.byteLength);
  if (bytes.length < 20) return null;
  const end = 8 + view.getUint32(4, true);
  if (end > bytes.length) return null;
  const chunks: Chunk[] = [];
  for (let at = 12; at + 8 <= end; ) {
    const length = view.getUint32(at + 4, true);
    if (at + 8 + length > end) return null;
    const name = String.fromCharCode(...bytes.subarray(at, at + 4));
    chunks.push({ name, body: bytes.subarray(at + 8, at + 8 + length) });
    at += 8 + length + (length % 2);
  }
  return chunks;
}

/** Some writers put the name that JPEG needs before the block here too. */
function tiffIn(exif: Uint8Array | undefined): Uint8Array {
  if (exif === undefined) return new Uint8Array();
  return exif[0] === 0x45 && exif[1] === 0x78 ? exif.subarray(6) : exif;
}

/** From the frame header of a lossy picture, or the head of a lossless one. */
function imageSize({ name, body }: Chunk): Pick<CleanedPicture, "widthPx" | "heightPx"> | null {
  if (body.length < 10) return null;
  const view = new DataView(body.buffer, body.byteOffset, body.byteLength);
  if (name === "VP8 ")
    return { widthPx: view.getUint16(6, true) & 0x3fff, heightPx: view.getUint16(8, true) & 0x3fff };
  if (body[0] !== 0x2f) return null;
  const bits = view.getUint32(1, true);
  return { widthPx: (bits & 0x3fff) + 1, heightPx: ((bits >>> 14) & 0x3fff) + 1 };
}

function withFlags({ name, body }: Chunk, flags: number, orientation: number): Chunk {
  const flagged = Uint8Array.from(body);
  flagged[0] = (flags & ~noteFlags) | (orientation === 1 ? 0 : exifFlag);
  return { name, body: flagged };
}

function fileOf(chunks: readonly Chunk[]): Uint8Array {
  const parts = chunks.flatMap(({ name, body }) => {
    const head = Buffer.alloc(8);
    head.write(name, 0, "latin1");
    head.writeUInt32LE(body.length, 4);
    return [head, body, ...(body.length % 2 === 1 ? [Buffer.alloc(1)] : [])];
  });
  const content = Buffer.concat(parts);
  const head = Buffer.from("RIFF\0\0\0\0WEBP", "latin1");
  head.writeUInt32LE(4 + content.length, 4);
  return Buffer.concat([head, content]);
}
