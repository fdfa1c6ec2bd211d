import { describe, expect, it } from "vitest";
import { gapsOf, spansWhere } from "../../../server/bench/heat/spans.ts";

const upTo = (last: number): number[] => Array.from({ length: last + 1 }, (_, second) => second);

describe("stretches of a trace", () => {
  const spans = (of: readonly number[], leastS = 0, joinS = 1) =>
    spansWhere(upTo(20), (row) => of.includes(row), leastS, joinS).map(({ fromS, toS }) => [fromS, toS]);

  it("go from the first row that is meant to the last, also at either end of the trace", () => {
    expect(spans([0, 1, 2, 9, 10, 19, 20])).toEqual([
      [0, 2],
      [9, 10],
      [19, 20],
    ]);
    expect(spans([])).toEqual([]);
  });

  it("are one where they lie close enough, and none where they are too short", () => {
    expect(spans([3, 4, 9, 10], 0, 5)).toEqual([[3, 10]]);
    expect(spans([3, 4, 9, 10], 0, 4)).toHaveLength(2);
    expect(spans([3, 4, 9, 10, 11], 2)).toEqual([[9, 11]]);
  });
});

describe("gaps in a trace", () => {
  const gaps = (t: readonly number[], isMissing: (row: number) => boolean = () => false) =>
    gapsOf(
      t,
      t.map((_, row) => (isMissing(row) ? Number.NaN : 60)),
    );

  it("are where rows or readings are missing for longer than five seconds", () => {
    const broken = [...upTo(10), ...upTo(10).map((second) => 16.5 + second)];
    expect(gaps(broken)).toEqual([{ fromS: 10, toS: 16.5 }]);
    expect(gaps([...upTo(10), ...upTo(10).map((second) => 15 + second)])).toEqual([]);
    expect(gaps(upTo(30), (row) => row > 10 && row < 17)).toEqual([{ fromS: 10, toS: 17 }]);
  });

  it("reach to the last row where nothing was read to the end", () => {
    expect(gaps(upTo(30), (row) => row > 10)).toEqual([{ fromS: 10, toS: 30 }]);
    expect(gaps(upTo(16), (row) => row > 10)).toEqual([{ fromS: 10, toS: 16 }]);
    expect(gaps(upTo(15), (row) => row > 10)).toEqual([]);
  });

  it("are longer where rows come seldom", () => {
    const every = (seconds: number, after: number) => [
      ...upTo(10).map((row) => seconds * row),
      ...upTo(10).map((row) => seconds * (10 + row) + after),
    ];
    expect(gaps(every(10, 40))).toEqual([]);
    expect(gaps(every(10, 60))).toEqual([{ fromS: 100, toS: 160 }]);
  });
});
