import { inflateSync } from "node:zlib";
import { describe, expect, it } from "vitest";
import { pngPicture } from "../../../server/pages/writeUp/pngPicture.ts";

const svg = (content: string) =>
  `<?xml version="1.0"?><svg width="100" height="40" viewBox="0 0 100 40" font-family="system-ui, sans-serif" xmlns="http://www.w3.org/2000/svg"><rect width="100%" height="100%" fill="#ffffff"/>${content}</svg>`;

/** Width, height and how many of the coded bytes are not those of blank paper. */
function looked(png: Uint8Array) {
  const bytes = Buffer.from(png);
  const parts: Buffer[] = [];
  for (let at = 8; at < bytes.length; at += 12 + bytes.readUInt32BE(at))
    if (bytes.toString("latin1", at + 4, at + 8) === "IDAT")
      parts.push(bytes.subarray(at + 8, at + 8 + bytes.readUInt32BE(at)));
  return {
    size: [bytes.readUInt32BE(16), bytes.readUInt32BE(20)],
    content: inflateSync(Buffer.concat(parts)),
  };
}

describe("pngPicture(svg)", () => {
  it("paints twice the size of the file", async () => {
    expect(looked(await pngPicture(svg(""))).size).toEqual([200, 80]);
  });

  it("brings its own letters, whatever fonts the machine has", async () => {
    const blank = looked(await pngPicture(svg(""))).content;
    const lettered = looked(
      await pngPicture(svg('<text x="4" y="30" font-size="20">4625 °C −</text>')),
    ).content;
    expect(lettered.equals(blank)).toBe(false);
    const bold = looked(
      await pngPicture(svg('<text x="4" y="30" font-size="20" font-weight="600">4625 °C −</text>')),
    ).content;
    expect(bold.equals(lettered)).toBe(false);
  });

  it("paints the same file alike every time", async () => {
    const once = await pngPicture(svg('<circle cx="20" cy="20" r="9"/>'));
    expect(
      Buffer.from(await pngPicture(svg('<circle cx="20" cy="20" r="9"/>'))).equals(Buffer.from(once)),
    ).toBe(true);
  });
});
