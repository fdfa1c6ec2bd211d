import { crc32 } from "node:zlib";
import { expect, it } from "vitest";
import { pictureLimitBytes } from "../../server/bench/pictures/picture.ts";
import { pictureBytesOf, pictureTypeOf, tooLarge } from "../../server/bench/pictures/pictureBytes.ts";
import { orientationIn } from "../../server/bench/pictures/pictureOrientation.ts";
import { type SeededRandom, seededRandom } from "../../server/numerics/seededRandom.ts";
import { exifBlock } from "../support/madePictures.ts";
import { oneOf } from "./chosen.ts";
import { printOf, telling } from "./telling.ts";

const latin = (text: string): Buffer => Buffer.from(text, "latin1");
const orders = ["little", "big"] as const;

/** What is kept of a picture: kind, size as it is seen, length and bytes; what is kept of that is the same again. */
function keptOf(sent: Buffer): string {
  const { type, widthPx, heightPx, bytes } = pictureBytesOf(sent);
  const again = pictureBytesOf(Buffer.concat([Buffer.alloc(5), bytes]).subarray(5));
  const isSame = printOf(again.bytes) === printOf(bytes) && again.widthPx === widthPx;
  return `${type} ${widthPx} x ${heightPx}, ${bytes.length}, ${printOf(bytes)}${isSame ? "" : ", NOT THE SAME AGAIN"}`;
}

const changed = (bytes: Buffer, at: number, to: number): Buffer => {
  const other = Buffer.from(bytes);
  other[at] = to;
  return other;
};

const cutsOf = (sent: Buffer, random: SeededRandom): readonly number[] => [
  ...[0, 1, 2, 3, 4, 8, 11, 12, 19, 20, 33, sent.length - 4, sent.length - 1],
  ...Array.from({ length: 6 }, () => random.index(sent.length)),
];

/** A picture with one byte after another changed: where it is refused, and how many kinds of picture else come of it. */
function spoiltTold(sent: Buffer, tell: (asked: string, answer: () => unknown) => void): void {
  const told = Array.from(sent, (byte, at) =>
    [byte ^ 0x80, byte ^ 1, 0xff, 0].map((to) => {
      try {
        return keptOf(changed(sent, at, to));
      } catch (error) {
        return (error as Error).message.slice(0, 20);
      }
    }),
  );
  const refused = told.map((four) => four.filter((one) => /^(This|A) picture|^This is not/.test(one)).length);
  tell("each byte changed", () => [refused.join(""), printOf(Buffer.from(told.join("\n")))].join(" "));
}

const segment = (marker: number, body: Buffer, length = body.length + 2): Buffer =>
  Buffer.concat([Buffer.of(0xff, marker, length >> 8, length & 0xff), body]);
const frame = (width: number, height: number, marker = 0xc0): Buffer =>
  segment(marker, Buffer.of(8, height >> 8, height & 255, width >> 8, width & 255, 1, 1, 0x11, 0));
const exif = (turn: number, order: "little" | "big") =>
  segment(0xe1, Buffer.concat([latin("Exif\0\0"), exifBlock(turn, order)]));
const scanned = (...data: readonly number[]): Buffer =>
  Buffer.concat([segment(0xda, Buffer.of(1, 1, 0, 0, 63, 0)), Buffer.from(data)]);

const start = Buffer.of(0xff, 0xd8);
const end = Buffer.of(0xff, 0xd9);
const jfif = segment(0xe0, latin("JFIF\0\x01\x02\x00\x00\x01\x00\x01\x00\x00"));

/** Pieces of a JPEG by what they are; a drawn one takes some of them, in a drawn order. */
const jpegPieces: Readonly<Record<string, Buffer>> = {
  jfif,
  "jfif with a little picture": segment(0xe0, latin("JFIF\0\x01\x02\x00\x00\x01\x00\x01\x01\x01abc")),
  "an extension of it": segment(0xe0, latin("JFXX\0\x10")),
  "a profile": segment(0xe2, latin("ICC_PROFILE\0\x01\x01colours")),
  "a profile by another name": segment(0xe2, latin("ICC_PROFILES\x01\x01colours")),
  "how components were turned": segment(0xee, latin("Adobe\0\x64\0\0\0\0\x01")),
  "the same, longer": segment(0xee, latin("Adobe\0\x64\0\0\0\0\x01\0")),
  "the same, of another": segment(0xee, latin("Adobo\0\x64\0\0\0\0\x01")),
  "a remark": segment(0xfe, latin("here")),
  "notes without a turn": segment(0xe1, latin("http://x\0")),
  "an empty segment": segment(0xe3, Buffer.alloc(0)),
  "an empty table": segment(0xdb, Buffer.alloc(0)),
  tables: segment(0xdb, Buffer.alloc(65, 1)),
  "more tables": segment(0xc4, Buffer.alloc(20, 2)),
  "arithmetic tables": segment(0xcc, Buffer.alloc(3, 2)),
  "an extension": segment(0xc8, Buffer.alloc(9, 2)),
  "a restart interval": segment(0xdd, Buffer.of(0, 4)),
  "a number of lines": segment(0xdc, Buffer.of(0, 30)),
  "an expansion": segment(0xdf, Buffer.of(1)),
  "one beyond": segment(0xef, Buffer.of(1)),
  "a marker alone": Buffer.of(0xff, 0x01),
  "a restart": Buffer.of(0xff, 0xd0),
  filling: Buffer.of(0xff, 0xff, 0xff, 0x01),
  "a scan": scanned(1, 2, 0xff, 0, 3, 0xff, 0xd0, 4, 0xff, 0xd7, 5),
  "a scan with filling": scanned(9, 0xff, 0xff, 0, 9, 0xff, 0xff),
  "a reserved one": segment(0x02, Buffer.of(1)),
  "one before the frames": segment(0xbf, Buffer.of(1)),
};

it("JPEG pictures of drawn pieces are kept without their notes, or refused, as before", async () => {
  const { tell, told } = telling();
  const random = seededRandom(81);
  for (const [name, piece] of Object.entries(jpegPieces))
    tell(name, () => keptOf(Buffer.concat([start, piece, frame(40, 30), end])));
  for (let n = 0; n < 40; n += 1) {
    const names = Object.keys(jpegPieces).filter(() => random.index(6) === 0);
    names.sort(() => random.index(3) - 1 || -1);
    const [turn, order] = [random.index(10), oneOf(random, orders)];
    const parts = names.map((name) => jpegPieces[name]!);
    const marker = oneOf(random, [0xc0, 0xc1, 0xc2, 0xc3, 0xc5, 0xc9, 0xcf]);
    const noted = turn === 9 ? [] : [exif(turn, order)];
    tell(`turn ${turn} ${order}, frame ${marker.toString(16)}, ${names.length} pieces`, () =>
      keptOf(
        Buffer.concat([start, ...noted, frame(40, 30, marker), ...parts, scanned(7), end, latin("behind")]),
      ),
    );
  }
  for (const [width, height] of [
    ...[
      [0, 30],
      [40, 0],
      [1, 1],
      [255, 256],
      [65_535, 1],
      [10_000, 10_000],
      [10_000, 10_001],
      [1525, 65_535],
      [1526, 65_535],
    ],
  ] as const)
    tell(`${width} by ${height}`, () => keptOf(Buffer.concat([start, frame(width!, height!), end])));
  tell("two frames", () => keptOf(Buffer.concat([start, frame(1, 2), frame(3, 4), end])));
  tell("two turns", () =>
    keptOf(Buffer.concat([start, exif(6, "big"), exif(3, "little"), frame(3, 4), end])),
  );
  for (const length of [0, 1, 2, 3, 5, 6, 7]) {
    tell(`a frame of ${length}`, () =>
      keptOf(Buffer.concat([start, segment(0xc0, Buffer.alloc(length, 1)), end])),
    );
    tell(`a segment that says ${length}`, () =>
      keptOf(Buffer.concat([start, segment(0xdb, Buffer.alloc(3), length), frame(3, 4), end])),
    );
  }
  tell("no frame", () => keptOf(Buffer.concat([start, jfif, end])));
  tell("no end", () => keptOf(Buffer.concat([start, frame(3, 4)])));
  tell("a scan without end", () => keptOf(Buffer.concat([start, frame(3, 4), scanned(1, 2, 3)])));
  tell("a scan that ends within a marker", () =>
    keptOf(Buffer.concat([start, frame(3, 4), scanned(1, 0xff)])),
  );
  tell("no marker where one should be", () => keptOf(Buffer.concat([start, frame(3, 4), Buffer.of(5), end])));
  tell("a marker of nothing", () => keptOf(Buffer.concat([start, frame(3, 4), Buffer.of(0xff, 0), end])));
  const sent = Buffer.concat([
    start,
    jfif,
    exif(8, "big"),
    frame(40, 30),
    jpegPieces["a profile"]!,
    jpegPieces["a scan"]!,
    jpegPieces["more tables"]!,
    scanned(8),
    end,
  ]);
  for (const length of cutsOf(sent, random)) tell(`cut to ${length}`, () => keptOf(sent.subarray(0, length)));
  spoiltTold(sent, tell);
  await expect(told()).toMatchFileSnapshot("answers/picturesJpeg.txt");
});

const chunk = (name: string, body: Buffer, spoilt = 0): Buffer => {
  const named = Buffer.concat([latin(name), body]);
  const [length, check] = [Buffer.alloc(4), Buffer.alloc(4)];
  length.writeUInt32BE(body.length);
  check.writeUInt32BE((crc32(named) ^ spoilt) >>> 0);
  return Buffer.concat([length, named, check]);
};
const header = (width: number, height: number, more = 0): Buffer => {
  const body = Buffer.alloc(13 + more);
  body.writeUInt32BE(width);
  body.writeUInt32BE(height, 4);
  return chunk("IHDR", body);
};
const signature = latin("\x89PNG\r\n\x1a\n");
const [drawn, last] = [chunk("IDAT", Buffer.alloc(9, 5)), chunk("IEND", Buffer.alloc(0))];
const pngOf = (...parts: readonly Buffer[]): Buffer => Buffer.concat([signature, ...parts]);

it("PNG pictures of drawn pieces are kept without their notes, or refused, as before", async () => {
  const { tell, told } = telling();
  const random = seededRandom(82);
  const names =
    "PLTE tRNS gAMA cHRM sRGB iCCP sBIT bKGD pHYs cICP tEXt iTXt zTXt tIME hIST sPLT acTL fcTL fdAT vpAg idat".split(
      " ",
    );
  const piece = (name: string): Buffer => chunk(name, Buffer.alloc(random.index(7), 7));
  for (const name of names) tell(name, () => keptOf(pngOf(header(40, 30), piece(name), drawn, last)));
  for (let n = 0; n < 30; n += 1) {
    const some = names.filter(() => random.index(5) === 0).map(piece);
    const [turn, order] = [random.index(10), oneOf(random, orders)];
    const noted = chunk("eXIf", exifBlock(turn, order));
    const around = random.index(2) ? [noted, drawn] : [drawn, noted];
    const [width, height] = [1 + random.index(300), 1 + random.index(90)];
    tell(`turn ${turn} ${order}, ${some.length} more`, () =>
      keptOf(pngOf(header(width, height), ...some, ...around, last, latin("behind"))),
    );
  }
  for (const [width, height] of [
    [0, 1],
    [1, 0],
    [1, 1],
    [10_000, 10_000],
    [10_000, 10_001],
    [2 ** 31, 1],
    [1e8, 1],
  ] as const)
    tell(`${width} by ${height}`, () => keptOf(pngOf(header(width, height), drawn, last)));
  const flaws: Readonly<Record<string, Buffer>> = {
    "no header": pngOf(drawn, last),
    "a header later": pngOf(piece("gAMA"), header(4, 3), drawn, last),
    "two headers": pngOf(header(4, 3), header(4, 3), drawn, last),
    "a longer header": pngOf(header(4, 3, 1), drawn, last),
    "nothing drawn": pngOf(header(4, 3), last),
    "no end": pngOf(header(4, 3), drawn),
    "another end": pngOf(header(4, 3), drawn, chunk("IEND", Buffer.alloc(2))),
    "two ends": pngOf(header(4, 3), drawn, last, last),
    "a wrong checksum": pngOf(header(4, 3), chunk("IDAT", Buffer.alloc(3), 1), last),
    "a wrong checksum of a note": pngOf(
      header(4, 3),
      chunk("tEXt", Buffer.alloc(3), 0x80000000),
      drawn,
      last,
    ),
    "an empty note of the turn": pngOf(header(4, 3), chunk("eXIf", Buffer.alloc(0)), drawn, last),
    "eleven bytes more": pngOf(header(4, 3), drawn, Buffer.alloc(11)),
    "the signature alone": signature,
  };
  for (const [name, sent] of Object.entries(flaws)) tell(name, () => keptOf(sent));
  const sent = pngOf(header(40, 30), chunk("eXIf", exifBlock(5)), piece("gAMA"), drawn, drawn, last);
  for (const length of cutsOf(sent, random)) tell(`cut to ${length}`, () => keptOf(sent.subarray(0, length)));
  spoiltTold(sent, tell);
  await expect(told()).toMatchFileSnapshot("answers/picturesPng.txt");
});

const riff = (name: string, body: Buffer, length = body.length): Buffer => {
  const says = Buffer.alloc(4);
  says.writeUInt32LE(length);
  return Buffer.concat([latin(name), says, body, Buffer.alloc(body.length % 2)]);
};
const webpOf = (...parts: readonly Buffer[]): Buffer =>
  riff("RIFF", Buffer.concat([latin("WEBP"), ...parts]));
const extended = (flags: number): Buffer => riff("VP8X", Buffer.of(flags, 0, 0, 0, 39, 0, 0, 29, 0, 0));
const lossy = (width: number, height: number, more = 1): Buffer =>
  riff(
    "VP8 ",
    Buffer.concat([
      Buffer.of(0, 0, 0, 0x9d, 1, 0x2a, width & 255, width >> 8, height & 255, height >> 8),
      Buffer.alloc(more, 7),
    ]),
  );
const lossless = (width: number, height: number, first = 0x2f): Buffer => {
  const body = Buffer.alloc(11, 7);
  body[0] = first;
  body.writeUInt32LE(((width - 1) | ((height - 1) << 14)) >>> 0, 1);
  return riff("VP8L", body);
};

it("WebP pictures of drawn pieces are kept without their notes, or refused, as before", async () => {
  const { tell, told } = telling();
  const random = seededRandom(83);
  for (let n = 0; n < 60; n += 1) {
    const [turn, order] = [random.index(10), oneOf(random, orders)];
    const block = exifBlock(turn, order);
    const noted = oneOf(random, [
      block,
      Buffer.concat([latin("Exif\0\0"), block]),
      latin("Ex"),
      latin("Exact"),
    ]);
    const pieces = {
      extended: extended(oneOf(random, [0, 0x08, 0x0c, 0x04, 0x10, 0x20, 0x3c])),
      profile: riff("ICCP", latin("colour")),
      alpha: riff("ALPH", Buffer.alloc(random.index(5), 3)),
      image: random.index(2) ? lossy(40, 30, random.index(2)) : lossless(300, 200),
      "an image again": lossy(41, 31),
      notes: riff("EXIF", noted),
      words: riff("XMP ", latin("here")),
      unknown: riff("note", latin("odd")),
    };
    const chosen = Object.entries(pieces).filter(([name]) => random.index(name === "image" ? 12 : 3) > 0);
    if (random.index(3) === 0) chosen.reverse();
    const asked = `${chosen.map(([name]) => name).join(", ")}; turn ${turn} ${order}, ${noted.length} of notes`;
    tell(asked, () => keptOf(Buffer.concat([webpOf(...chosen.map(([, bytes]) => bytes)), latin("behind")])));
  }
  for (const flags of [1, 2, 3, 0x40, 0xff])
    tell(`flags ${flags}`, () => keptOf(webpOf(extended(flags), lossy(4, 3))));
  for (const [width, height] of [
    [0, 3],
    [4, 0],
    [16_383, 1],
    [16_384, 3],
    [16_383, 6104],
    [16_383, 6103],
    [0x7fff, 0x7fff],
  ] as const)
    tell(`lossy ${width} by ${height}`, () => keptOf(webpOf(lossy(width, height))));
  for (const [width, height] of [
    [1, 1],
    [16_384, 1],
    [1, 16_384],
    [16_384, 6103],
    [16_384, 6104],
    [300, 200],
  ] as const)
    tell(`lossless ${width} by ${height}`, () => keptOf(webpOf(lossless(width, height))));
  const flaws: Readonly<Record<string, Buffer>> = {
    "a lossless one that is none": webpOf(lossless(4, 3, 0x2e)),
    "an image of nine bytes": webpOf(riff("VP8 ", Buffer.alloc(9, 1)), riff("note", Buffer.alloc(8))),
    "an image of ten": webpOf(riff("VP8 ", Buffer.alloc(10, 1))),
    "no image": webpOf(extended(0), riff("note", Buffer.alloc(8))),
    "nothing at all": webpOf(),
    "a chunk that is longer than it is": webpOf(lossy(4, 3), riff("note", Buffer.alloc(4), 6)),
    "seven bytes more": webpOf(lossy(4, 3), Buffer.alloc(7)),
    "a head without a chunk": webpOf(lossy(4, 3), Buffer.alloc(8)),
    "longer by its own account": changed(webpOf(lossy(4, 3)), 4, 99),
    "shorter by its own account": changed(webpOf(lossy(4, 3), riff("note", Buffer.alloc(8))), 4, 24),
    "moved by an empty extension": webpOf(riff("VP8X", Buffer.alloc(0)), lossy(4, 3)),
  };
  for (const [name, sent] of Object.entries(flaws)) tell(name, () => keptOf(sent));
  const sent = webpOf(extended(8), riff("ICCP", latin("colours")), lossy(40, 30), riff("EXIF", exifBlock(7)));
  for (const length of cutsOf(sent, random)) tell(`cut to ${length}`, () => keptOf(sent.subarray(0, length)));
  spoiltTold(sent, tell);
  await expect(told()).toMatchFileSnapshot("answers/picturesWebp.txt");
});

it("notes of the turn, kinds and sizes of files are read or refused as before", async () => {
  const { tell, told } = telling();
  const random = seededRandom(84);
  for (const order of orders) {
    const block = exifBlock(6, order);
    tell(`${order}, each turn`, () =>
      [...Array(11).keys(), 255, 256].map((turn) => orientationIn(exifBlock(turn, order))).join(" "),
    );
    tell(`${order}, cut`, () => Array.from(block, (_, at) => orientationIn(block.subarray(0, at))).join(""));
    for (const to of [0, 1, 0xff, 0x49, 0x4d])
      tell(`${order}, a byte made ${to}`, () =>
        Array.from(block, (_, at) => orientationIn(changed(block, at, to))).join(""),
      );
    tell(`${order}, laid elsewhere`, () =>
      orientationIn(Buffer.concat([Buffer.alloc(3), block]).subarray(3)),
    );
  }
  const begun = { jpeg: [0xff, 0xd8, 0xff], png: [...signature], webp: [...latin("RIFF1234WEBP")] };
  for (const [name, bytes] of Object.entries(begun)) {
    tell(`${name}, cut`, () =>
      bytes.map((_, at) => pictureTypeOf(Buffer.from(bytes.slice(0, at + 1))) ?? "no").join(" "),
    );
    tell(`${name}, changed`, () =>
      bytes
        .map((_, at) => pictureTypeOf(changed(Buffer.from(bytes), at, random.index(256))) ?? "no")
        .join(" "),
    );
  }
  tell("no picture", () => keptOf(latin("GIF89a, or so")));
  const large = Buffer.concat([start, frame(4, 3), end, Buffer.alloc(pictureLimitBytes)]);
  tell("as large as may be", () => keptOf(large.subarray(0, pictureLimitBytes)));
  tell("larger by one", () => keptOf(large.subarray(0, pictureLimitBytes + 1)));
  for (const bytes of [null, 0, 1 << 20, 15_000_000])
    tell(`refused for ${bytes}`, () => [tooLarge(bytes).message, tooLarge(bytes).code]);
  await expect(told()).toMatchFileSnapshot("answers/picturesRead.txt");
});
