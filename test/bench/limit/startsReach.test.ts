import { describe, expect, it } from "vitest";
import {
  chanceLowestWrong,
  chanceOfReach,
  noStarts,
  noteFailed,
  noteUp,
} from "../../../server/bench/limit/startsReach.ts";
import { chanceOfStarts } from "../../../server/bench/limit/startThreshold.ts";

/** Starts that failed so many e-folds up, each by the number of its record, and one that came up. */
function reachOf(failed: readonly (readonly [efolds: number, record: number])[], up = 1) {
  const reach = noStarts();
  for (const [efolds, record] of failed) noteFailed(reach, record, efolds, 1);
  noteUp(reach, 9, up);
  return reach;
}
const inOrders = <One>([a, b, c]: readonly [One, One, One]): One[][] => [
  [a, b, c],
  [b, c, a],
  [c, a, b],
  [c, b, a],
];

describe("what starts tell", () => {
  it("is the same whichever record each stands in, and in whatever order they are read", () => {
    for (const efolds of [
      [4, 6, 9],
      [2, 2.5, 14],
    ]) {
      const chances = inOrders([0, 1, 2]).flatMap((records) => {
        const failed = efolds.map((at, i) => [at, records[i]!] as const) as never;
        return inOrders(failed).map((one) => chanceOfReach(reachOf(one as never)));
      });
      for (const chance of chances) expect(chance).toBeCloseTo(chances[0]!, 12);
    }
  });

  it("is, where starts came up far above all that failed, as if those were wrong and none had failed", () => {
    const failed = [
      [-60, 0],
      [-70, 1],
      [-80, 2],
    ] as const;
    const reached = (up: number): number => chanceOfReach(reachOf(failed, up));
    const none = chanceOfStarts(Infinity, 10) / chanceOfStarts(Infinity, 6);
    expect(none).toBeLessThan(0.6);
    expect(reached(10) / reached(6)).toBeCloseTo(none, 9);
    expect(reached(6)).toBeLessThan(1e-6);
  });

  it("hangs on the lowest three that failed and the highest that came up alone", () => {
    const three = reachOf([
      [4, 0],
      [6, 1],
      [9, 2],
    ]);
    const more = reachOf([
      [12, 3],
      [4, 0],
      [10, 4],
      [6, 1],
      [9, 2],
    ]);
    noteUp(more, 5, 0.5);
    expect(chanceOfReach(more)).toBe(chanceOfReach(three));
    expect(
      chanceOfReach(
        reachOf(
          [
            [4, 0],
            [6, 1],
            [9, 2],
          ],
          3,
        ),
      ),
    ).not.toBe(chanceOfReach(three));
  });

  it("doubts a start that failed far under others that came up, and less so where a second failed there", () => {
    const alone = chanceLowestWrong(
      reachOf(
        [
          [-3, 0],
          [14, 1],
        ],
        10,
      ),
    );
    const twice = chanceLowestWrong(
      reachOf(
        [
          [-3, 0],
          [-2.8, 1],
        ],
        10,
      ),
    );
    expect(alone).toBeGreaterThan(0.5);
    expect(twice).toBeLessThan(alone);
  });
});
