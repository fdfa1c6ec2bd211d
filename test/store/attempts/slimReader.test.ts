import { setFlagsFromString } from "node:v8";
import { runInNewContext } from "node:vm";
import { describe, expect, it } from "vitest";
import { runFields } from "../../../server/bench/runs/runRow.ts";
import type { Attempt } from "../../../server/bench/things/attempt.ts";
import { evidenceFields } from "../../../server/bench/things/evidenceRow.ts";
import { isSetByClock } from "../../../server/bench/things/setting.ts";
import { fillDemo } from "../../../server/demo/demoJournal.ts";
import type { Journal } from "../../../server/store/file/journal.ts";
import { freshJournal, theInstant } from "../../support/bench.ts";
import { fillInBulk } from "../../support/bulkRecord.ts";

/** Has all garbage collected. */
function collected(): void {
  setFlagsFromString("--expose-gc");
  runInNewContext("gc")();
}

describe("slimReader(db, names)", () => {
  /** The slow, obvious way: whole attempts, and of each the fields asked for. */
  const readWhole = (
    journal: Journal,
    buildId: string,
    names: readonly (keyof Attempt)[],
    isAsked: (attempt: Attempt) => boolean = isSetByClock,
  ) =>
    journal.attempts
      .allOf(buildId)
      .filter((attempt) => attempt.setAside === null && isAsked(attempt))
      .map((attempt) => ({
        ...Object.fromEntries(names.map((name) => [name, attempt[name]])),
        traced: journal.traces.outline(attempt.id) !== undefined,
      }));

  it("gives evidence and runs as the attempts say, oldest first, without those set aside", () => {
    const journal = freshJournal();
    fillDemo(journal, theInstant);
    for (const { id } of journal.builds.all()) {
      expect(journal.attempts.triedOf(id)).toEqual(readWhole(journal, id, evidenceFields, () => true));
      expect(journal.attempts.evidenceOf(id)).toEqual(readWhole(journal, id, evidenceFields));
      expect(journal.attempts.runsOf(id)).toEqual(readWhole(journal, id, runFields));
    }
    const all = journal.attempts.all();
    expect(all.some(({ id }) => journal.traces.outline(id) !== undefined)).toBe(true);
    expect(all.some((attempt) => attempt.setAside !== null)).toBe(true);
    expect(all.some((attempt) => attempt.tags.length > 0)).toBe(true);
    expect(all.some((attempt) => attempt.loadVoltageMv !== null)).toBe(true);
    expect(new Set(all.map((attempt) => attempt.throttled))).toEqual(new Set([null, true, false]));
  });

  it("gives the same in turns of some hundred, also where many began at the same moment", () => {
    const journal = freshJournal();
    fillInBulk(journal, { builds: 2, attempts: 1400, seed: 3 });
    journal.db.$client.exec("UPDATE attempts SET started_at = started_at / 864000000 * 864000000");
    const id = journal.builds.all()[0]?.id ?? "";
    const reading = journal.attempts.triedInTurn(id);
    let [turns, next] = [0, reading.next()];
    for (; !next.done; next = reading.next()) turns += 1;
    const atOnce = readWhole(journal, id, evidenceFields, () => true);
    expect(next.value).toHaveLength(atOnce.length);
    expect(next.value).toEqual(expect.arrayContaining(atOnce.slice(0, 40)));
    expect(next.value?.map((row) => row.id)).toEqual(journal.attempts.taggedRunsOf(id).map((row) => row.id));
    expect(turns).toBe(3);
  });

  it("takes little more than half a kilobyte for a row of all that is compared", () => {
    const journal = freshJournal();
    fillInBulk(journal, { builds: 1, attempts: 2000, seed: 3 });
    const [build] = journal.builds.all();
    collected();
    const before = process.memoryUsage().heapUsed;
    const runs = journal.attempts.runsOf(build?.id ?? "");
    collected();
    expect((process.memoryUsage().heapUsed - before) / runs.length).toBeLessThan(560);
    expect(runs.length).toBeGreaterThan(1900);
  });

  it("gives nothing of a build that is not there", () => {
    const journal = freshJournal();
    expect(journal.attempts.evidenceOf("nowhere")).toEqual([]);
    expect(journal.attempts.runsOf("nowhere")).toEqual([]);
  });
});
