import { describe, expect, it } from "vitest";
import { column, heading, list, paragraph, table, wordsColumn } from "../../server/bench/writeUp/block.ts";
import { tableCsv } from "../../server/csv/tableCsv.ts";
import { writeUpMarkdown } from "../../server/csv/writeUpMarkdown.ts";

const clocks = table(
  "clocks",
  "Held | crashed",
  [wordsColumn("Build"), column("Held", "MHz")],
  [
    ["Frame | *open*", "4800"],
    ["=Cupboard", "−50"],
  ],
);

describe("the account as Markdown", () => {
  it("has headings, words, lists, tables and pictures", () => {
    const blocks = [
      heading(2, "Results"),
      ...paragraph({}, "answer", "Frame goes further.\n\nBy one step."),
      ...list(["one", "2. two"]),
      ...clocks,
      { as: "chart" as const, name: "limit-1", caption: "Limit" },
    ];
    expect(writeUpMarkdown(blocks, (block) => ("name" in block ? `charts/${block.name}.svg` : null))).toBe(
      `## Results

Frame goes further.

By one step.

- one
- 2\\. two

Held \\| crashed

| Build | Held, MHz |
| :-- | --: |
| Frame \\| \\*open\\* | 4800 |
| \\=Cupboard | −50 |

![Limit](<charts/limit-1.svg>)
`,
    );
  });
  it("what people typed stays what they typed", () => {
    const text = writeUpMarkdown(paragraph({}, "x", "<script>alert(1)</script> [a](b) `c` # d"), () => null);
    expect(text).not.toMatch(/(?<!\\)[<>`[\]#]/);
  });
  it("a chart without a file is left out", () => {
    expect(writeUpMarkdown([{ as: "chart", name: "x", caption: "y" }], () => null)).toBe("\n");
  });
  it("cautions stand apart", () => {
    expect(writeUpMarkdown(paragraph({}, "x", "Careful.", "caution"), () => null)).toBe("> Careful.\n");
  });
});

describe("a table as CSV", () => {
  it("keeps figures as figures, quotes what needs it and lets no cell become a formula", () => {
    expect(tableCsv(clocks[0]!)).toBe("\ufeffBuild,Held (MHz)\r\nFrame | *open*,4800\r\n'=Cupboard,-50\r\n");
    const [odd] = table("odd", "", [wordsColumn("a,b")], [['say "so"'], ["+4.2"], ["-x"]]);
    expect(tableCsv(odd!)).toBe('\ufeff"a,b"\r\n"say ""so"""\r\n+4.2\r\n\'-x\r\n');
  });
});
