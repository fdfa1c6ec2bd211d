import { crc32 } from "node:zlib";
import { describe, expect, it } from "vitest";
import { zipOf } from "../../../server/pages/writeUp/archive.ts";

const bytes = (text: string) => new TextEncoder().encode(text);

/** A slow reader after the published layout (PKWARE's application note): from the end record through the directory. */
function entriesOf(zip: Uint8Array) {
  const view = new DataView(zip.buffer, zip.byteOffset, zip.byteLength);
  const end = zip.length - 22;
  expect(view.getUint32(end, true)).toBe(0x06054b50);
  let at = view.getUint32(end + 16, true);
  return Array.from({ length: view.getUint16(end + 10, true) }, () => {
    expect(view.getUint32(at, true)).toBe(0x02014b50);
    const [crc, size, nameLength] = [
      view.getUint32(at + 16, true),
      view.getUint32(at + 24, true),
      view.getUint16(at + 28, true),
    ];
    const local = view.getUint32(at + 42, true);
    const name = new TextDecoder().decode(zip.slice(at + 46, at + 46 + nameLength));
    expect(view.getUint32(local, true)).toBe(0x04034b50);
    const start = local + 30 + view.getUint16(local + 26, true);
    const content = zip.slice(start, start + size);
    expect(crc32(content)).toBe(crc);
    at += 46 + nameLength;
    return { name, text: new TextDecoder().decode(content), stamp: view.getUint32(local + 10, true) };
  });
}

describe("zipOf(entries)", () => {
  it("gives back every file, names in UTF-8, empty ones too", () => {
    const files = [
      { name: "account.md", text: "# Für die Werkstatt\n" },
      { name: "charts/limit-1.svg", text: "<svg/>" },
      { name: "leer", text: "" },
    ];
    const zip = zipOf(
      files.map(({ name, text }) => ({ name, bytes: bytes(text) })),
      "2031-05-04T15:42:10.000Z",
    );
    expect(entriesOf(zip).map(({ name, text }) => ({ name, text }))).toEqual(files);
  });
  it("stamps files with the time given, so that the same content is the same archive", () => {
    const make = (at: string) => zipOf([{ name: "a", bytes: bytes("a") }], at);
    expect(make("2031-05-04T15:42:10.000Z")).toEqual(make("2031-05-04T15:42:11.000Z"));
    const stamp = entriesOf(make("2031-05-04T15:42:10.000Z"))[0]!.stamp;
    expect([(stamp >>> 25) + 1980, (stamp >>> 21) & 15, (stamp >>> 16) & 31, (stamp >>> 11) & 31]).toEqual([
      2031, 5, 4, 15,
    ]);
  });
  it("an archive of nothing is an end record", () => {
    expect(zipOf([], "2031-05-04T15:42:10.000Z")).toHaveLength(22);
  });
});
