import { crc32 } from "node:zlib";

const latin = (text: string): Buffer => Buffer.from(text, "latin1");

/** Where the made pictures say they were taken; no kept picture may hold it. */
export const telltale = "N 48 12 33.7 E 16 22 10.2";

type Order = "little" | "big";

/** An Exif block (Exif 2.3, JEITA CP-3451): the turn, the maker, and a directory of places behind tag 0x8825. */
export function exifBlock(orientation: number, order: Order = "little"): Buffer {
  const short = (n: number) => {
    const bytes = Buffer.alloc(2);
    order === "little" ? bytes.writeUInt16LE(n) : bytes.writeUInt16BE(n);
    return bytes;
  };
  const long = (n: number) => {
    const bytes = Buffer.alloc(4);
    order === "little" ? bytes.writeUInt32LE(n) : bytes.writeUInt32BE(n);
    return bytes;
  };
  const entry = (tag: number, type: number, count: number, value: Buffer) =>
    Buffer.concat([
      short(tag),
      short(type),
      long(count),
      Buffer.concat([value, Buffer.alloc(4)]).subarray(0, 4),
    ]);
  const place = latin(`${telltale}\0`);
  const gpsAt = 8 + 2 + 3 * 12 + 4;
  const placeAt = gpsAt + 2 + 12 + 4;
  return Buffer.concat([
    latin(order === "little" ? "II" : "MM"),
    short(42),
    long(8),
    short(3),
    entry(0x010f, 2, 4, latin("Eye\0")),
    entry(0x0112, 3, 1, short(orientation)),
    entry(0x8825, 4, 1, long(gpsAt)),
    long(0),
    short(1),
    entry(0x0002, 2, place.length, long(placeAt)),
    long(0),
    place,
  ]);
}

const segment = (marker: number, body: Buffer): Buffer =>
  Buffer.concat([Buffer.of(0xff, marker, (body.length + 2) >> 8, (body.length + 2) & 0xff), body]);

/** The notes a telephone writes into a JPEG, to put behind the first two bytes of any. */
export const jpegNotes = (orientation: number, order?: Order): Buffer =>
  Buffer.concat([
    segment(0xe1, Buffer.concat([latin("Exif\0\0"), exifBlock(orientation, order)])),
    segment(0xe1, latin(`http://ns.adobe.com/xap/1.0/\0<x>${telltale}</x>`)),
    segment(0xed, latin(`Photoshop 3.0\0${telltale}`)),
    segment(0xfe, latin(telltale)),
  ]);

/** A JPEG in its segments alone: tables, a progressive frame in two scans, restarts and stuffed bytes. It shows nothing. */
export function madeJpeg(
  options: Readonly<{ notes?: Buffer; width?: number; height?: number }> = {},
): Buffer {
  const { notes = Buffer.alloc(0), width = 40, height = 30 } = options;
  const frame = Buffer.of(8, height >> 8, height & 255, width >> 8, width & 255, 1, 1, 0x11, 0);
  const scan = segment(0xda, Buffer.of(1, 1, 0, 0, 63, 0));
  return Buffer.concat([
    Buffer.of(0xff, 0xd8),
    segment(0xe0, Buffer.concat([latin("JFIF\0"), Buffer.of(1, 2, 0, 0, 1, 0, 1, 1, 1), latin("abc")])),
    notes,
    segment(0xe2, latin("ICC_PROFILE\0\x01\x01colours")),
    segment(0xdb, Buffer.alloc(65, 1)),
    segment(0xc2, frame),
    segment(0xc4, Buffer.alloc(20, 2)),
    scan,
    Buffer.of(1, 2, 0xff, 0, 3, 0xff, 0xd0, 4),
    segment(0xc4, Buffer.alloc(20, 3)),
    scan,
    Buffer.of(9, 0xff, 0, 9),
    Buffer.of(0xff, 0xd9),
  ]);
}

const chunk = (name: string, body: Buffer): Buffer => {
  const named = Buffer.concat([latin(name), body]);
  const [length, check] = [Buffer.alloc(4), Buffer.alloc(4)];
  length.writeUInt32BE(body.length);
  check.writeUInt32BE(crc32(named));
  return Buffer.concat([length, named, check]);
};

export function madePng(options: Readonly<{ orientation?: number; noted?: boolean }> = {}): Buffer {
  const header = Buffer.from([0, 0, 0, 40, 0, 0, 0, 30, 8, 2, 0, 0, 0]);
  const notes = options.noted
    ? [
        chunk("eXIf", exifBlock(options.orientation ?? 1, "big")),
        chunk("tEXt", latin(`Comment\0${telltale}`)),
        chunk("iTXt", latin(`XML:com.adobe.xmp\0\0\0\0\0${telltale}`)),
        chunk("tIME", Buffer.alloc(7)),
      ]
    : [];
  return Buffer.concat([
    latin("\x89PNG\r\n\x1a\n"),
    chunk("IHDR", header),
    chunk("gAMA", Buffer.from([0, 0, 177, 143])),
    ...notes,
    chunk("IDAT", Buffer.alloc(12, 5)),
    chunk("IEND", Buffer.alloc(0)),
  ]);
}

export function madeWebp(
  options: Readonly<{ orientation?: number; noted?: boolean; moving?: boolean }> = {},
): Buffer {
  const riff = (name: string, body: Buffer): Buffer => {
    const length = Buffer.alloc(4);
    length.writeUInt32LE(body.length);
    return Buffer.concat([latin(name), length, body, Buffer.alloc(body.length % 2)]);
  };
  const flags = (options.noted ? 0x0c : 0) | (options.moving ? 0x02 : 0);
  const extended = Buffer.from([flags, 0, 0, 0, 39, 0, 0, 29, 0, 0]);
  const picture = Buffer.from([0, 0, 0, 0x9d, 0x01, 0x2a, 40, 0, 30, 0, 7]);
  const content = Buffer.concat([
    latin("WEBP"),
    riff("VP8X", extended),
    riff("VP8 ", picture),
    ...(options.noted
      ? [
          riff("EXIF", exifBlock(options.orientation ?? 1)),
          riff("XMP ", latin(telltale)),
          riff("note", latin(telltale)),
        ]
      : []),
  ]);
  return riff("RIFF", content);
}
