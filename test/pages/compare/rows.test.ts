import { expect, it } from "vitest";
import { usualAssumptions } from "../../../server/bench/comparison/assumptions.ts";
import { judgedClock } from "../../../server/bench/comparison/clockApart.ts";
import type { Comparison } from "../../../server/bench/comparison/comparison.ts";
import { intervalRows } from "../../../server/pages/compare/rows.ts";
import { fittedApart } from "../../bench/comparison/benchDay.ts";

it("says within scatter of the clock as of every other measure beside a bar", () => {
  const measured = {
    ...{ measure: "power", unit: "W", workloadId: "load", difference: 0, low: -1, high: 1 },
    ...{ verdict: "within-scatter", mounts: [1, 1], runs: [2, 2] },
  };
  const compared = {
    ...{ clockUnit: "MHz", offsets: null, noise: [], score: [], together: [], sameVoltage: [] },
    ...{ clock: judgedClock(fittedApart(-1, -23, 62), usualAssumptions), sameSetting: [measured] },
  } as unknown as Comparison;
  const said = intervalRows(compared, new Map()).map(({ verdict }) => verdict);
  expect(said).toEqual(["within scatter", "within scatter"]);
});
