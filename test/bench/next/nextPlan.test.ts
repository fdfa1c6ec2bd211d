import { expect, it } from "vitest";
import { usualBenchCosts } from "../../../server/bench/next/benchCosts.ts";
import { ask, proposed } from "../../support/askNext.ts";
import { evidenceRow } from "../../support/evidenceRows.ts";

it("a plan uses the bench time there is as far as one more of the shortest runs fits, its setting up included", () => {
  const rows = [evidenceRow({ clockMhz: 4900, loadTempC: 70 })];
  const shortest = usualBenchCosts.setupMinutes + 5;
  const planned = (minutes: number) =>
    proposed(ask(rows, { minutes })).plan!.map(({ durationS }) => durationS / 60);
  expect(planned(shortest)).toEqual([5]);
  expect(planned(2 * shortest - 1)).toEqual([5]);
  expect(planned(2 * shortest)).toEqual([5, 5]);
  expect(planned(3 * shortest)).toHaveLength(3);
});
