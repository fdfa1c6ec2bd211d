import { renderToString } from "preact-render-to-string";
import { describe, expect, it } from "vitest";
import { type IntervalRow, IntervalSvg } from "../../server/html/intervalSvg.tsx";

const row = (low: number | null, high: number | null): IntervalRow => ({
  label: "Loudness",
  scale: "dB",
  value: 2,
  low,
  high,
  words: "+2 dB",
  verdict: "differs",
  decided: true,
});
const drawn = (low: number | null, high: number | null, narrow = false): string =>
  renderToString(<IntervalSvg title="Differences" rows={[row(low, high)]} nothing="none" narrow={narrow} />);
/** Where the bar begins and ends, in pixels. */
const barOf = (svg: string): readonly number[] =>
  /d="M([\d.]+),[\d.]+H([\d.]+)" stroke="[^"]*" stroke-width="8"/.exec(svg)?.slice(1).map(Number) ?? [];

describe("IntervalSvg", () => {
  it("draws a bar from end to end, and zero in the middle", () => {
    const [from, to] = barOf(drawn(-4, 4));
    expect([from, to]).toEqual([190, 390]);
  });
  it.each([true, false])(
    "runs on to the edge with an arrow where an end is not known (narrow %s)",
    (narrow) => {
      const [left, right] = narrow ? [20, 320] : [190, 390];
      const [lowFrom, lowTo] = barOf(drawn(null, 1, narrow));
      expect(lowFrom).toBe(left);
      expect(lowTo).toBeLessThan(right);
      const [highFrom, highTo] = barOf(drawn(1, null, narrow));
      expect(highTo).toBe(right);
      expect(highFrom).toBeGreaterThan(left);
      for (const svg of [drawn(null, 1, narrow), drawn(1, null, narrow)])
        expect(svg.match(/stroke-linejoin="round"/g)).toHaveLength(1);
      expect(drawn(1, 3, narrow)).not.toContain("stroke-linejoin");
    },
  );
  it("draws no bar where nothing is known of the doubt", () => {
    expect(barOf(drawn(null, null))).toEqual([]);
  });
});
