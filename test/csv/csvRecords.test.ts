import fc from "fast-check";
import Papa from "papaparse";
import { describe, expect, it } from "vitest";
import { csvRecords } from "../../server/csv/csvRecords.ts";

const recordsOf = (text: string, separator = ",") => [...csvRecords(text, separator)];

describe("csvRecords", () => {
  it("reads quoted separators, line ends and doubled quotes, and says on which line each record begins", () => {
    expect(recordsOf('a,"b,1"\r\n"two\r\nlines","say ""ok"""\r\nlast,cell')).toEqual([
      { line: 1, cells: ["a", "b,1"], unclosed: false },
      { line: 2, cells: ["two\r\nlines", 'say "ok"'], unclosed: false },
      { line: 4, cells: ["last", "cell"], unclosed: false },
    ]);
  });

  it("counts blank lines and lines that end in a lone carriage return", () => {
    expect(recordsOf("a\r\rb").map(({ line, cells }) => [line, cells.join()])).toEqual([
      [1, "a"],
      [2, ""],
      [3, "b"],
    ]);
  });

  it("gives a line whose quote is never closed as it stands, and reads on below it", () => {
    expect(recordsOf('a,b\n1,"open\n2,3\n')).toEqual([
      { line: 1, cells: ["a", "b"], unclosed: false },
      { line: 2, cells: ["1", '"open'], unclosed: true },
      { line: 3, cells: ["2", "3"], unclosed: false },
    ]);
  });

  it("reads what papaparse writes, as papaparse reads it", () => {
    const cell = fc.string({ unit: fc.constantFrom("a", "7", " ", ",", ";", '"', "\n", "é", ".") });
    const rows = fc.array(
      fc.array(
        cell.filter((text) => text.trim() === text),
        { minLength: 2, maxLength: 5 },
      ),
      {
        minLength: 1,
      },
    );
    fc.assert(
      fc.property(rows, fc.constantFrom(",", ";", "\t"), (written, delimiter) => {
        const text = Papa.unparse(written, { delimiter, newline: "\r\n" });
        const read = recordsOf(text, delimiter).map(({ cells }) => [...cells]);
        expect(read).toEqual(Papa.parse(text, { delimiter, newline: "\r\n" }).data);
        expect(read).toEqual(written);
      }),
    );
  });
});
