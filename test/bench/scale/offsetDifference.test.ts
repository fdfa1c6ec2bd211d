import { describe, expect, it } from "vitest";
import { type OffsetDifference, offsetDifferenceOf } from "../../../server/bench/scale/offsetDifference.ts";
import type { OffsetSearch } from "../../../server/bench/scale/offsetSearch.ts";
import { standardRule } from "../../../server/bench/things/rule.ts";
import { type SeededRandom, seededRandom } from "../../../server/numerics/seededRandom.ts";
import { type CurveKind, type CurvePart, curvePart } from "../../support/curvePart.ts";
import { testChip, testWorkload } from "../../support/evidenceRows.ts";
import { otherCurvePart, softAndEarly } from "../../support/otherCurvePart.ts";

type Part = Pick<CurvePart, "scale" | "stock" | "ran">;

const searchOf = (kind: CurveKind, { scale, stock }: Part, rows: OffsetSearch["rows"]): OffsetSearch => ({
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
function evening(part: Part, shift: number, random: SeededRandom, attempts: number): OffsetSearch["rows"] {
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

/** Every second pair six steps apart, the others alike. */
function pairsOf(kind: CurveKind, pairs: number, partOf: (index: number, random: SeededRandom) => Part) {
  const seen: { truth: number; found: OffsetDifference }[] = [];
  for (let i = 0; i < pairs; i++) {
    const random = seededRandom(8200 + i);
    const part = partOf(i, random);
    const sign = part.scale.harder === "up" ? 1 : -1;
    const truth = i % 2 === 0 ? 0 : 6 * sign * part.scale.step;
    const found = offsetDifferenceOf({
      a: searchOf(kind, part, evening(part, 0, random, 18)),
      b: searchOf(kind, part, evening(part, truth, random, 18)),
    });
    if (found !== null) seen.push({ truth, found });
  }
  const claims = ({ found: { low, high } }: (typeof seen)[number]) =>
    (low !== null && low > 0) || (high !== null && high < 0);
  return {
    seen: seen.length,
    held: seen.filter(
      ({ truth, found: { low, high } }) => (low ?? -Infinity) <= truth && truth <= (high ?? Infinity),
    ).length,
    claimed: seen.filter(({ truth }) => truth === 0).filter(claims).length,
    toldApart: seen.filter(({ truth }) => truth !== 0).filter(claims).length,
  };
}

describe("how far apart two builds go along their offset", () => {
  it.each([
    ["undervolt", 4],
    ["clock offset", 9],
  ] as const)(
    "holds the truth of simulated parts and seldom claims what is not there, by %s",
    (kind, found) => {
      const { seen, held, claimed, toldApart } = pairsOf(kind, 24, (i, random) =>
        curvePart(kind, i, random, 12),
      );
      expect(seen).toBeGreaterThanOrEqual(22);
      expect(held).toBeGreaterThanOrEqual(seen - 3);
      expect(toldApart).toBeGreaterThanOrEqual(found);
      expect(claimed).toBeLessThanOrEqual(1);
    },
  );

  it.each([
    ["undervolt", 1],
    ["clock offset", 3],
  ] as const)(
    "does so of softer parts of other stuff whose starts fail close above the limit, by %s",
    (kind, found) => {
      const { seen, held, claimed, toldApart } = pairsOf(kind, 24, (_, random) =>
        otherCurvePart(kind, random, softAndEarly(random)),
      );
      expect(seen).toBeGreaterThanOrEqual(22);
      expect(held).toBeGreaterThanOrEqual(seen - 3);
      expect(toldApart).toBeGreaterThanOrEqual(found);
      expect(claimed).toBeLessThanOrEqual(1);
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

  it("leaves the other end open where more of the offset is harder", () => {
    const random = seededRandom(9);
    const part = curvePart("clock offset", 0, random, 12);
    const a = searchOf("clock offset", part, evening(part, 0, random, 18));
    const passed = { ...a, rows: a.rows.filter(({ outcome }) => outcome === "pass") };
    expect(offsetDifferenceOf({ a, b: passed })).toMatchObject({ low: expect.any(Number), high: null });
    expect(offsetDifferenceOf({ a: passed, b: a })).toMatchObject({ low: null, high: expect.any(Number) });
  });

  it("is nothing, give or take, between a build and its copy: what is not known of one is not known of the other", () => {
    const random = seededRandom(12);
    const part = curvePart("undervolt", 0, random, 12);
    const a = searchOf("undervolt", part, evening(part, 0, random, 18));
    const { difference, low, high } = offsetDifferenceOf({ a, b: a })!;
    expect(Math.abs(difference)).toBeLessThan(0.03 * (high! - low!));
    expect(high! - low!).toBeGreaterThan(2 * part.scale.step);
    expect(Math.abs(high! + low!)).toBeLessThan(0.2 * (high! - low!));
  });

  it("takes three attempts each", () => {
    const random = seededRandom(13);
    const part = curvePart("undervolt", 0, random, 12);
    const a = searchOf("undervolt", part, evening(part, 0, random, 18));
    const ending = a.rows.slice(a.rows.findIndex(({ outcome }) => outcome !== "pass") - 2);
    expect(offsetDifferenceOf({ a, b: { ...a, rows: ending.slice(0, 3) } })).not.toBeNull();
    expect(offsetDifferenceOf({ a, b: { ...a, rows: ending.slice(1, 3) } })).toBeNull();
  });

  it("is no question between offsets of two units, or of one that are harder in opposite ways", () => {
    const random = seededRandom(14);
    const part = curvePart("undervolt", 0, random, 12);
    const a = searchOf("undervolt", part, evening(part, 0, random, 18));
    const chip = { ...a.chip, offset: { ...a.chip.offset!, harder: "up" as const } };
    expect(offsetDifferenceOf({ a, b: a })).not.toBeNull();
    expect(offsetDifferenceOf({ a, b: { ...a, chip } })).toBeNull();
    const inShares = { ...a.chip, offset: { ...a.chip.offset!, unit: "%" as const } };
    expect(offsetDifferenceOf({ a, b: { ...a, chip: inShares } })).toBeNull();
  });
});

describe("over the parts of a chip", () => {
  const random = seededRandom(15);
  const part = curvePart("undervolt", 0, random, 12);
  const named = (name: string, shift: number): OffsetSearch["rows"] =>
    evening(part, shift, random, 18).map((row) => ({
      ...row,
      ...{ id: `${name} ${row.id}`, part: name, offset: null, offsets: { [name]: row.offset as number } },
    }));
  const searchOver = (...rows: OffsetSearch["rows"][]): OffsetSearch => {
    const one = searchOf("undervolt", part, rows.flat());
    const parts = ["core 1", "core 2", "core 3"].map((name) => ({ name, kernel: null }));
    return { ...one, chip: { ...one.chip, parts } };
  };
  const [one, two, three] = [named("core 1", 0), named("core 2", 0), named("core 3", 0)];
  const [further, nearer] = [named("core 1", -80), named("core 2", -20)];

  it("the difference is the mean over those that both have, more surely known than each, and each told by itself", () => {
    const found = offsetDifferenceOf({ a: searchOver(one, two, three), b: searchOver(further, nearer) })!;
    expect(found.parts.map(({ part: name }) => name)).toEqual(["core 1", "core 2"]);
    const [first, second] = found.parts as [OffsetDifference["parts"][0], OffsetDifference["parts"][0]];
    expect(found.difference).toBeCloseTo((first.difference + second.difference) / 2, -0.5);
    expect(first.difference).toBeLessThan(second.difference - 20);
    const width = ({ low, high }: Readonly<{ low: number | null; high: number | null }>) => high! - low!;
    expect(width(found)).toBeLessThan(Math.max(width(first), width(second)));
    expect(width(found)).toBeGreaterThan(0.4 * Math.min(width(first), width(second)));
  });

  it("each part is fitted by itself, whatever the others did", () => {
    const alone = offsetDifferenceOf({ a: searchOver(one), b: searchOver(further) })!;
    const among = offsetDifferenceOf({ a: searchOver(one, two), b: searchOver(further, nearer) })!;
    expect(among.parts[0]).toEqual(alone.parts[0]);
  });

  it("an end is open where it is on any part", () => {
    const passed = nearer.filter(({ outcome }) => outcome === "pass");
    const found = offsetDifferenceOf({ a: searchOver(one, two), b: searchOver(further, passed) })!;
    expect(found.parts).toMatchObject([{ low: expect.any(Number) }, { low: null }]);
    expect(found).toMatchObject({ low: null, high: expect.any(Number) });
    const turned = offsetDifferenceOf({ a: searchOver(further, passed), b: searchOver(one, two) })!;
    expect(turned).toMatchObject({ low: expect.any(Number), high: null });
  });

  it("what is not known of one part says nothing of another, even where both did the same", () => {
    const same = (shift: number): OffsetSearch => {
      const first = named("core 1", shift);
      const second = first.map((row) => ({
        ...row,
        ...{ id: `copy of ${row.id}`, part: "core 2", offsets: { "core 2": row.offsets!["core 1"]! } },
      }));
      return searchOver(first, second);
    };
    const found = offsetDifferenceOf({ a: same(0), b: same(-40) })!;
    const [first] = found.parts;
    expect(found.high! - found.low!).toBeLessThan(0.85 * (first!.high! - first!.low!));
  });
});
