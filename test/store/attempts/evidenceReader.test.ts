import { expect, it } from "vitest";
import type { Attempt } from "../../../server/bench/things/attempt.ts";
import type { EvidenceRow } from "../../../server/bench/things/evidenceRow.ts";
import { fillDemo } from "../../../server/demo/demoJournal.ts";
import { evidenceReader } from "../../../server/store/attempts/evidenceReader.ts";
import { freshJournal, theInstant } from "../../support/bench.ts";

/** The slow, obvious way: whole attempts, and of each the fields that count. */
const evidenceFrom = (attempt: Attempt, traced: boolean): EvidenceRow => ({
  id: attempt.id,
  mountId: attempt.mountId,
  workloadId: attempt.workloadId,
  clockMhz: attempt.clockMhz,
  voltageMv: attempt.voltageMv,
  outcome: attempt.outcome,
  durationS: attempt.durationS ?? 0,
  startedAt: attempt.startedAt,
  plannedS: attempt.plannedS,
  ambientC: attempt.ambientC,
  loadTempC: attempt.loadTempC,
  peakTempC: attempt.peakTempC,
  startTempC: attempt.startTempC,
  loadVoltageMv: attempt.loadVoltageMv,
  powerW: attempt.powerW,
  powerAt: attempt.powerAt,
  effectiveClockMhz: attempt.effectiveClockMhz,
  throttled: attempt.throttled,
  correctedErrors: attempt.correctedErrors,
  startKind: attempt.startKind,
  clockMode: attempt.clockMode,
  failedFromS: attempt.failedFromS,
  failedToS: attempt.failedToS,
  traced,
});

it("evidence is what the attempts say, oldest first, without those set aside or running", () => {
  const journal = freshJournal();
  fillDemo(journal, theInstant);
  const read = evidenceReader(journal.db);
  for (const build of journal.builds.all()) {
    const attempts = journal.attempts.allOf(build.id);
    const counted = attempts.filter((attempt) => attempt.setAside === null);
    const traced = (id: string) => journal.traces.outline(id) !== undefined;
    expect(read(build.id)).toEqual(counted.map((attempt) => evidenceFrom(attempt, traced(attempt.id))));
  }
  const all = journal.attempts.all();
  expect(all.some(({ id }) => journal.traces.outline(id) !== undefined)).toBe(true);
  expect(all.some((attempt) => attempt.setAside !== null)).toBe(true);
  expect(new Set(all.map((attempt) => attempt.throttled))).toEqual(new Set([null, true, false]));
});

it("evidence of a build that is not there is none", () => {
  expect(evidenceReader(freshJournal().db)("nowhere")).toEqual([]);
});
