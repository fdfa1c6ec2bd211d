import { describe, expect, it } from "vitest";
import { Refusal } from "../../server/bench/things/refusal.ts";
import { documentReader } from "../../server/csv/documentReader.ts";

const now = "2031-05-04T13:42:00.000Z";
const board = (name: string) => ({
  id: "01966a8e-0000-7000-8000-000000000000",
  createdAt: now,
  updatedAt: now,
  version: 1,
  name,
});
const head = { journal: "rungbook", version: 1, exportedAt: now };
const empty = Object.fromEntries(
  ["chips", "boards", "workloads", "rules", "builds", "mounts", "noise", "attempts"].map((name) => [
    name,
    [],
  ]),
);

/** What was handed over, and how it ended, whatever the size of the pieces. */
function readIn(text: string, piece = text.length) {
  const things: [string, unknown][] = [];
  const reader = documentReader((section, thing) => things.push([section, thing]));
  const bytes = Buffer.from(text);
  let refused: Refusal | null = null;
  try {
    for (let at = 0; at < bytes.length; at += piece) reader.write(bytes.subarray(at, at + piece));
    reader.end();
  } catch (error) {
    if (!(error instanceof Refusal)) throw error;
    refused = error;
  }
  return { things, refused };
}

describe("documentReader", () => {
  it("hands over each thing whole, in pieces of any size and sections in any order", () => {
    const document = { ...empty, boards: [board("Quay S"), board("Ü ✓ 𝄞")], ...head };
    for (const text of [JSON.stringify(document), JSON.stringify(document, null, 2)])
      for (const piece of [1, 2, 3, 7, 100, text.length]) {
        const { things, refused } = readIn(text, piece);
        expect(refused).toBeNull();
        expect(things.map(([section, thing]) => [section, (thing as { name: string }).name])).toEqual([
          ["boards", "Quay S"],
          ["boards", "Ü ✓ 𝄞"],
        ]);
      }
  });

  it("stops at the first twenty faults, each with its place", () => {
    const { refused } = readIn(
      JSON.stringify({ ...head, ...empty, boards: Array(100_000).fill({}) }),
      65_536,
    );
    expect(Object.keys(refused?.fields ?? {})).toHaveLength(20);
    expect(refused?.message).toMatch(/^The export is damaged at boards\.0\./);
  });

  it("takes no document that is cut off anywhere, between two words of it or within one", () => {
    const whole = JSON.stringify({ ...head, ...empty, attempts: [], boards: [board("Quay S")] });
    for (let end = 0; end < whole.length; end += 1)
      expect([end, readIn(whole.slice(0, end)).refused?.code]).toEqual([end, "invalid"]);
    expect(readIn(whole).refused).toBeNull();
  });

  it("refuses in a sentence what is no export, whatever it is", () => {
    const whole = JSON.stringify({ ...head, ...empty });
    const cases: readonly [string, RegExp][] = [
      ["", /not an exported journal/],
      ["{}", /not an exported journal/],
      ["[]", /not an exported journal/],
      [`[${"{},".repeat(1000)}{}]`, /not an exported journal/],
      ["null", /not an exported journal/],
      ["just words", /not an exported journal/],
      [JSON.stringify({ ...empty, ...head, journal: "diary" }), /not an exported journal/],
      [JSON.stringify({ ...head, version: 3, ...empty }), /newer version/],
      [whole.slice(0, -5), /cannot be read past/],
      [`${whole}x`, /cannot be read past|not an exported/],
      [whole.replace('"chips":[]', '"chips":{}'), /damaged at chips: This must be a list/],
      [whole.replace('"chips":[]', '"chips":null'), /damaged at chips: This must be a list/],
      [whole.replace('"chips":[]', '"__proto__":[]'), /damaged at __proto__: This field is not known/],
      [whole.replace('"chips":[]', '"chips":[],"chips":[]'), /damaged at chips: This stands here twice/],
      [whole.replace('"chips":[],', ""), /damaged at chips: This is needed/],
      [whole.replace('"chips":[]', `"chips":[${"[".repeat(100_000)}`), /folded too deep/],
      [whole.replace('"chips":[]', '"chips":[{"__proto__":{"name":"x"}}]'), /damaged at chips\.0/],
    ];
    for (const [text, words] of cases) {
      const { things, refused } = readIn(text, 1000);
      expect([text.slice(0, 60), refused?.message]).toEqual([
        text.slice(0, 60),
        expect.stringMatching(words),
      ]);
      expect(things).toEqual([]);
    }
  });

  it("takes a document with blanks after it, and one of a time before pictures and traces", () => {
    expect(readIn(`${JSON.stringify({ ...head, ...empty })}\n \n`, 50).refused).toBeNull();
  });
});
