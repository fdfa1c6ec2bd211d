import { describe, expect, it } from "vitest";
import { usualLogLimits } from "../../server/bench/logs/logLimits.ts";
import { LineFeed } from "../../server/csv/lineFeed.ts";

const text = "time,temp\n0,40\n\n1,41\n2,4\n3,4";
const limited = (lineBytes: number) => new LineFeed({ ...usualLogLimits, lineBytes });
const inPieces = (whole: string, size: number): Buffer[] =>
  Array.from({ length: Math.ceil(whole.length / size) }, (_, at) =>
    Buffer.from(whole.slice(at * size, (at + 1) * size)),
  );
const fed = (feed: LineFeed, pieces: readonly Buffer[], line = () => 0): string[] =>
  pieces.flatMap((piece) => [...feed.lines(piece, line)].map(String));

describe("a log that arrives in pieces", () => {
  it("comes out in whole lines, with nothing lost and nothing twice, wherever it was cut", () => {
    for (let size = 1; size <= text.length; size += 1) {
      const feed = limited(100);
      const runs = fed(feed, inPieces(text, size));
      expect(
        runs.every((run) => run.endsWith("\n")),
        `${size}`,
      ).toBe(true);
      expect([runs.join(""), String(feed.rest())], `${size}`).toEqual([
        "time,temp\n0,40\n\n1,41\n2,4\n",
        "3,4",
      ]);
    }
  });

  it("leaves nothing over where it ends with a line end", () => {
    const feed = limited(100);
    fed(feed, inPieces("0,40\n1,41\n", 3));
    expect(feed.rest()).toBeUndefined();
  });

  it("is refused for a line that is too long, by its number, in one piece or in many", () => {
    const long = `0,40\n${"1".repeat(9)}\n2,42\n`;
    for (const size of [1, 4, 100]) {
      let line = 0;
      const read = (lineBytes: number): void => {
        line = 0;
        const feed = limited(lineBytes);
        for (const piece of inPieces(long, size))
          for (const run of feed.lines(piece, () => line)) line += String(run).split("\n").length - 1;
      };
      expect(() => read(9), `${size}`).not.toThrow();
      expect(() => read(8), `${size}`).toThrow("Line 2 is longer than 8 bytes");
    }
  });
});
