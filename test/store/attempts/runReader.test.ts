import { expect, it } from "vitest";
import type { RunRow } from "../../../server/bench/runs/runRow.ts";
import type { Attempt } from "../../../server/bench/things/attempt.ts";
import { fillDemo } from "../../../server/demo/demoJournal.ts";
import { runReader } from "../../../server/store/attempts/runReader.ts";
import { freshJournal, theInstant } from "../../support/bench.ts";

/** The slow, obvious way: whole attempts, and of each the fields that count. */
const runFrom = (attempt: Attempt): Omit<RunRow, "traced"> => {
  const { id, mountId, workloadId, clockMhz, voltageMv, outcome, startedAt, durationS, tags } = attempt;
  const { ambientC, loadTempC, peakTempC, startTempC, supplyTempC, fanRpm } = attempt;
  const { loadVoltageMv, voltageReadAt, loadLine, currentA, powerW, powerAt } = attempt;
  const { effectiveClockMhz, throttled, correctedErrors, clockMode, score } = attempt;
  return {
    ...{ id, mountId, workloadId, clockMhz, voltageMv, outcome, startedAt, durationS, tags },
    ...{ ambientC, loadTempC, peakTempC, startTempC, supplyTempC, fanRpm },
    ...{ loadVoltageMv, voltageReadAt, loadLine, currentA, powerW, powerAt },
    ...{ effectiveClockMhz, throttled, correctedErrors, clockMode, score },
  };
};

it("runs are what the attempts say, oldest first, without those set aside or running", () => {
  const journal = freshJournal();
  fillDemo(journal, theInstant);
  const read = runReader(journal.db);
  for (const build of journal.builds.all()) {
    const counted = journal.attempts.allOf(build.id).filter((attempt) => attempt.setAside === null);
    expect(read(build.id).map(({ traced: _, ...rest }) => rest)).toEqual(counted.map(runFrom));
  }
  const all = journal.attempts.all();
  expect(all.some((attempt) => attempt.setAside !== null)).toBe(true);
  expect(all.some((attempt) => attempt.tags.length > 0)).toBe(true);
  expect(all.some((attempt) => attempt.loadVoltageMv !== null)).toBe(true);
});

it("runs of a build that is not there are none", () => {
  expect(runReader(freshJournal().db)("nowhere")).toEqual([]);
});
