import fc from "fast-check";
import { describe, expect, it } from "vitest";
import {
  pictureInDocument,
  pictureLimitBytes,
  pictureLimitPx,
} from "../../../server/bench/pictures/picture.ts";
import { pictureBytesOf, pictureTypeOf } from "../../../server/bench/pictures/pictureBytes.ts";
import { orientationBlock, orientationIn } from "../../../server/bench/pictures/pictureOrientation.ts";
import { Refusal } from "../../../server/bench/things/refusal.ts";
import { exifBlock, jpegNotes, madeJpeg, madePng, madeWebp, telltale } from "../../support/madePictures.ts";

const text = (bytes: Uint8Array): string => Buffer.from(bytes).toString("latin1");
const kinds = [
  ["JPEG", (orientation: number) => madeJpeg({ notes: jpegNotes(orientation) }), madeJpeg()],
  ["PNG", (orientation: number) => madePng({ noted: true, orientation }), madePng()],
  ["WebP", (orientation: number) => madeWebp({ noted: true, orientation }), madeWebp()],
] as const;

describe.each(kinds)("pictureBytesOf(%s)", (_, noted, plain) => {
  it("leaves nothing of where, when and with what it was taken", () => {
    const sent = noted(6);
    expect(text(sent)).toContain(telltale);
    expect(text(sent)).toContain("Eye");
    const kept = text(pictureBytesOf(sent).bytes);
    expect(kept).not.toContain(telltale);
    expect(kept).not.toContain("Eye");
    expect(kept).not.toContain("adobe.com");
  });

  it("keeps which way up it is held, and gives its size as it is seen", () => {
    for (const orientation of [1, 2, 3, 4, 5, 6, 7, 8]) {
      const kept = pictureBytesOf(noted(orientation));
      const turned = orientation >= 5;
      expect([kept.widthPx, kept.heightPx]).toEqual(turned ? [30, 40] : [40, 30]);
      const block = text(orientationBlock(orientation));
      expect(text(kept.bytes).includes(block)).toBe(orientation !== 1);
    }
  });

  it("keeps an upright picture without notes as one with them", () => {
    expect(pictureBytesOf(noted(1)).bytes).toEqual(pictureBytesOf(plain).bytes);
  });

  it("changes nothing the second time", () => {
    for (const orientation of [1, 8]) {
      const once = pictureBytesOf(noted(orientation));
      expect(pictureBytesOf(once.bytes)).toEqual(once);
    }
  });

  it("drops what hangs on behind the end", () => {
    expect(pictureBytesOf(Buffer.concat([plain, Buffer.from(telltale)]))).toEqual(pictureBytesOf(plain));
  });

  it("refuses one that is cut short, wherever it was cut", () => {
    for (let length = 12; length < plain.length; length++)
      expect(() => pictureBytesOf(plain.subarray(0, length)), `${length}`).toThrow(Refusal);
  });

  it("takes a spoiled one so that it takes it again unchanged, or refuses it, and never fails otherwise", () => {
    const whole = noted(3);
    fc.assert(
      fc.property(fc.nat(whole.length - 1), fc.integer({ min: 0, max: 255 }), (at, value) => {
        const spoiled = Buffer.from(whole);
        spoiled[at] = value;
        try {
          const { bytes } = pictureBytesOf(spoiled);
          return Buffer.compare(pictureBytesOf(bytes).bytes, bytes) === 0;
        } catch (error) {
          return error instanceof Refusal;
        }
      }),
      { numRuns: 2000, seed: 5 },
    );
  });
});

describe("pictureBytesOf(bytes)", () => {
  it("keeps the colours of a JPEG and every coded byte of both scans", () => {
    const cleaned = pictureBytesOf(madeJpeg({ notes: jpegNotes(1) })).bytes;
    // The mark that says how its colours are meant (JFIF, ITU-T T.871, 10.1) comes first, without the rest of its block.
    expect(Buffer.from(cleaned).toString("latin1", 2, 11)).toBe("\xff\xe0\0\x10JFIF\0");
    const kept = text(cleaned);
    expect(kept).toContain("ICC_PROFILE");
    expect(kept).toContain("\x01\x02\xff\x00\x03\xff\xd0\x04");
    expect(kept).toContain("\x09\xff\x00\x09");
  });

  it("knows a picture by its content and refuses everything else", () => {
    expect(pictureTypeOf(madeJpeg())).toBe("image/jpeg");
    expect(pictureTypeOf(madePng())).toBe("image/png");
    expect(pictureTypeOf(madeWebp())).toBe("image/webp");
    for (const other of ["<svg xmlns='http://www.w3.org/2000/svg'/>", "GIF89a", "", "RIFF....AVI "])
      expect(() => pictureBytesOf(Buffer.from(other))).toThrow(/not a JPEG, PNG or WebP/);
  });

  it("says how much a picture may have, and how much this one has", () => {
    const asText = (bytes: number) => pictureInDocument.image.safeParse("A".repeat(Math.ceil(bytes / 3) * 4));
    expect([pictureLimitBytes, pictureLimitBytes + 8].map((bytes) => asText(bytes).success)).toEqual([
      true,
      false,
    ]);
    const large = Buffer.concat([madeJpeg(), Buffer.alloc(pictureLimitBytes)]);
    expect(() => pictureBytesOf(large)).toThrow("A picture may have at most 12 MiB; this one has 12.1.");
  });

  it("takes a picture that is nothing wide or high for a damaged one, not for a large one", () => {
    for (const size of [{ width: 0 }, { height: 0 }])
      expect(() => pictureBytesOf(madeJpeg(size))).toThrow("This picture is damaged or cut short");
    expect(pictureBytesOf(madeJpeg({ width: 1, height: 1 })).widthPx).toBe(1);
  });

  it("refuses a picture that would unpack beyond all measure", () => {
    expect(40_000 * 40_000).toBeGreaterThan(pictureLimitPx);
    expect(() => pictureBytesOf(madeJpeg({ width: 40_000, height: 40_000 }))).toThrow(
      /at most 100 million points/,
    );
  });

  it("refuses a WebP that moves and a PNG whose check sums are wrong", () => {
    expect(() => pictureBytesOf(madeWebp({ moving: true }))).toThrow(/moves/);
    const frames = Buffer.from(madeWebp({ moving: true }));
    frames.write(
      "ANMF",
      frames.indexOf("VP8L") >= 0 ? frames.indexOf("VP8L") : frames.indexOf("VP8 "),
      "latin1",
    );
    expect(() => pictureBytesOf(frames)).toThrow(/moves/);
    const spoiled = madePng();
    spoiled[20] = 1;
    expect(() => pictureBytesOf(spoiled)).toThrow(/damaged/);
  });
});

describe("orientationIn(tiff)", () => {
  it("reads both byte orders", () => {
    for (const turn of [1, 3, 6, 8]) {
      expect(orientationIn(exifBlock(turn, "little"))).toBe(turn);
      expect(orientationIn(exifBlock(turn, "big"))).toBe(turn);
      expect(orientationIn(orientationBlock(turn))).toBe(turn);
    }
  });

  it("takes anything it cannot read for upright", () => {
    for (const turn of [0, 9, 255]) expect(orientationIn(exifBlock(turn))).toBe(1);
    expect(orientationIn(new Uint8Array())).toBe(1);
    expect(orientationIn(exifBlock(6).subarray(0, 20))).toBe(1);
    expect(orientationIn(Buffer.from("II*\0\xff\xff\xff\xff", "latin1"))).toBe(1);
  });
});
