import { closeSync, fdatasyncSync, openSync, writeSync } from "node:fs";
import path from "node:path";
import { recordAttempt } from "../../server/actions/attempts.ts";
import type { AttemptDraft } from "../../server/bench/things/attempt.ts";
import type { Journal } from "../../server/store/file/journal.ts";
import { inFolder, journalIn, theInstant } from "./journals.ts";
import { atMost, inTurn, type Measurement, millisecondsOf } from "./measurement.ts";

const perRound = 60;
const pageBytes = 4096;
/** SQLite writes its log again from the beginning after a thousand pages; so does the reference. */
const pagesBeforeAgain = 1000;

/** Three pages and a sync to the same disk: less than that nothing durable can cost. */
function floorIn(folder: string): { commits(): void; close(): void } {
  const fd = openSync(path.join(folder, "floor"), "w");
  const page = Buffer.alloc(pageBytes, 7);
  let at = 0;
  const commit = () => {
    for (let written = 0; written < 3; written++)
      writeSync(fd, page, 0, pageBytes, (at++ % pagesBeforeAgain) * pageBytes);
    fdatasyncSync(fd);
  };
  return {
    commits: () => {
      for (let commits = 0; commits < perRound; commits++) commit();
    },
    close: () => closeSync(fd),
  };
}

function attemptsOf(journal: Journal): () => void {
  const build = journal.builds.all()[0];
  const workload = journal.workloads.all()[0];
  if (!build || !workload) throw new Error("The journal holds no build.");
  const draft: AttemptDraft = {
    workloadId: workload.id,
    clockMhz: 4650,
    voltageMv: 1200,
    outcome: "pass",
    durationS: 600,
    loadTempC: 78.5,
    ambientC: 21.4,
    note: "one step up",
  };
  let at = Date.parse(theInstant);
  return () => {
    for (let written = 0; written < perRound; written++) {
      at += 60_000; // a minute on, since ids and lists are kept in order of time
      const now = new Date(at).toISOString();
      journal.writeNow(() => recordAttempt(build.id, draft, { journal, now }));
    }
  };
}

const durableAttempt: Measurement = {
  name: "durable attempt",
  goal: "at most 1/0.85 of three 4 KiB writes and fdatasync",
  run: () =>
    inFolder(async (folder) => {
      const journal = journalIn(folder, { builds: 2, attempts: 200, seed: 1 });
      const floor = floorIn(folder);
      const record = attemptsOf(journal);
      const each = (work: () => void) => () => millisecondsOf(work) / perRound;
      const found = await inTurn(each(record), each(floor.commits), 11);
      floor.close();
      journal.close();
      return atMost(found, "ms", 1 / 0.85);
    }),
};

export const measurements: readonly Measurement[] = [durableAttempt];
