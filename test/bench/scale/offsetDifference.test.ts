import { describe, expect, it } from "vitest";
import { type OffsetDifference, offsetDifferenceOf } from "../../../server/bench/scale/offsetDifference.ts";
import type { OffsetSearch } from "../../../server/bench/scale/offsetSearch.ts";
import { standardRule } from "../../../server/bench/things/rule.ts";
import { type SeededRandom, seededRandom } from "../../../server/numerics/seededRandom.ts";
import { type CurveKind, type CurvePart, curvePart } from "../../support/curvePart.ts";
import { testChip, testWorkload } from "../../support/evidenceRows.ts";

const searchOf = (
  kind: CurveKind,
  { scale, stock }: CurvePart,
  rows: OffsetSearch["rows"],
): OffsetSearch => ({
  chip: testChip({
    axis: "offset",
    offset: {
      ...{
        name: "offset",
        unit: kind === "undervolt" ? "mV" : "MHz",
        step: scale.step,
        harder: scale.harder,
      },
      ...{ low: null, high: null, countIsAboutMv: null },
    },
    ...{ stockClockMhz: stock.clockMhz, stockVoltageMv: stock.voltageMv },
  }),
  ...{ rows, hottestAmbientC: 30, use: "benchmark" as const },
  workloads: [testWorkload("all-core")],
  requires: standardRule.requires,
});

/** A tester's evening: two steps at a time until it fails, then around it. */
function evening(
  part: CurvePart,
  shift: number,
  random: SeededRandom,
  attempts: number,
): OffsetSearch["rows"] {
  const rows: OffsetSearch["rows"][number][] = [];
  const sign = part.scale.harder === "up" ? 1 : -1;
  let steps = 2;
  for (let turn = 0; turn < attempts; turn++) {
    const level = sign * steps * part.scale.step;
    const { at } = part.ran(level - shift, turn < 6 ? 5 : 15, random);
    const startedAt = new Date(Date.UTC(2031, 4, 1) + turn * 3_600_000).toISOString();
    rows.push({ ...at.row, id: `${shift} ${turn}`, offset: level, part: null, offsets: null, startedAt });
    steps += at.row.outcome === "pass" ? (turn < 8 ? 2 : 1) : -1;
  }
  return rows;
}

describe("how far apart two builds go along their offset", () => {
  it.each([
    ["undervolt", 4],
    ["clock offset", 9],
  ] as const)(
    "holds the truth of simulated parts and seldom claims what is not there, by %s",
    (kind, found) => {
      const seen: { truth: number; found: OffsetDifference }[] = [];
      for (let i = 0; i < 24; i++) {
        const random = seededRandom(8200 + i);
        const part = curvePart(kind, i, random, 12);
        const sign = part.scale.harder === "up" ? 1 : -1;
        const truth = i % 2 === 0 ? 0 : 6 * sign * part.scale.step;
        const difference = offsetDifferenceOf({
          a: searchOf(kind, part, evening(part, 0, random, 18)),
          b: searchOf(kind, part, evening(part, truth, random, 18)),
        });
        if (difference !== null) seen.push({ truth, found: difference });
      }
      expect(seen.length).toBeGreaterThanOrEqual(22);
      const holds = seen.filter(
        ({ truth, found: { low, high } }) => (low ?? -Infinity) <= truth && truth <= (high ?? Infinity),
      );
      expect(holds.length).toBeGreaterThanOrEqual(seen.length - 3);
      const claims = ({ found: { low, high } }: (typeof seen)[number]) =>
        (low !== null && low > 0) || (high !== null && high < 0);
      const apart = seen.filter(({ truth }) => truth !== 0);
      expect(apart.filter(claims).length).toBeGreaterThanOrEqual(found);
      expect(seen.filter(({ truth }) => truth === 0).filter(claims).length).toBeLessThanOrEqual(1);
    },
  );

  it("says nothing of chips that are not set by the same offset, and leaves an end open where one only passed", () => {
    const random = seededRandom(9);
    const part = curvePart("undervolt", 0, random, 12);
    const a = searchOf("undervolt", part, evening(part, 0, random, 18));
    const card = curvePart("clock offset", 0, random, 12);
    const other = searchOf("clock offset", card, evening(card, 0, random, 18));
    expect(offsetDifferenceOf({ a, b: other })).toBeNull();
    const passed = { ...a, rows: a.rows.filter(({ outcome }) => outcome === "pass") };
    const open = offsetDifferenceOf({ a, b: passed });
    expect(open).toMatchObject({ low: null, high: expect.any(Number) });
    expect(offsetDifferenceOf({ a: passed, b: a })).toMatchObject({ low: expect.any(Number), high: null });
    expect(offsetDifferenceOf({ a: passed, b: passed })).toBeNull();
  });
});
