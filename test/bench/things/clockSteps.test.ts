import { describe, expect, it } from "vitest";
import { clockStepsOf, stepAbove, stepBelow } from "../../../server/bench/things/clockSteps.ts";
import { testChip } from "../../support/evidenceRows.ts";

const even = testChip({ stockClockMhz: 4610, clockStepMhz: 33.3 });
const listed = testChip({ stockClockMhz: 5600, clockGrid: [5600, 6000, 6200, 6400, 6600] });

describe("the clocks that can be set", () => {
  it("count evenly from stock, both ways and without an end", () => {
    const { clockAt, rungOf } = clockStepsOf(even);
    expect([clockAt(-1), clockAt(0), clockAt(2)]).toEqual([4576.7, 4610, 4676.6]);
    expect([rungOf(4676.6), rungOf(4676.5), rungOf(4609.9)]).toEqual([2, 1, -1]);
    expect([stepAbove(4610, even), stepBelow(4610, even)]).toEqual([4643.3, 4576.7]);
    expect([stepAbove(4620, even), stepBelow(4620, even)]).toEqual([4643.3, 4610]);
  });

  it("are the rates of the list where the chip has one, and none beyond its ends", () => {
    const { clockAt, rungOf, stepMhz } = clockStepsOf(listed);
    expect(stepMhz).toBe(200);
    expect([5599, 5600, 5999, 6100, 9000].map(rungOf)).toEqual([-1, 0, 0, 1, 4]);
    expect([-1, 0, 1, 4].map(clockAt)).toEqual([0, 5600, 6000, 6600]);
    expect([stepAbove(5600, listed), stepAbove(6100, listed), stepAbove(6600, listed)]).toEqual([
      6000, 6200, 6600,
    ]);
    expect([stepBelow(6000, listed), stepBelow(6100, listed), stepBelow(5600, listed)]).toEqual([
      5600, 6000, 0,
    ]);
  });
});
