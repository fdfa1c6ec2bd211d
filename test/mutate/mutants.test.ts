import { describe, expect, it } from "vitest";
import { mutantsIn, mutated } from "./mutants.ts";

const changed = (text: string): readonly string[] =>
  mutantsIn("server/some.ts", text).map((one) => mutated(text, one));

describe("mutantsIn(file, text)", () => {
  it("breaks each comparison, number and early return once", () => {
    expect(changed("if (a > 0) return 3;")).toEqual([
      "if (false && (a > 0)) return 3;",
      "if (a >= 0) return 3;",
      "if (a > 1) return 3;",
      "if (a > 0) return 6;",
    ]);
  });
  it("turns branches, flags, logic and some against every", () => {
    expect(changed("const x = a && !b ? true : c.some(d);")).toEqual([
      "const x = !(a && !b) ? true : c.some(d);",
      "const x = a || !b ? true : c.some(d);",
      "const x = a && !!b ? true : c.some(d);",
      "const x = a && !b ? false : c.some(d);",
      "const x = a && !b ? true : c.every(d);",
    ]);
  });
  it("leaves types, imports and joined words alone", () => {
    expect(changed('import { a } from "b";\ntype One = 1 | 2;\nconst words = "a" + b;')).toEqual([]);
  });
  it("says which named functions each stands in, the innermost first", () => {
    const text =
      "function a() { const b = () => [1].map((x) => x + 2); return { c: () => 3, d() { return 4; } }; }";
    expect(mutantsIn("server/some.ts", text).map(({ was, within }) => [was, ...within])).toEqual([
      ["1", "b", "a"],
      ["+", "b", "a"],
      ["2", "b", "a"],
      ["3", "c", "a"],
      ["4", "d", "a"],
    ]);
  });
});
