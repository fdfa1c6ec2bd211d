import { randomBytes } from "node:crypto";
import { openSync, writeSync } from "node:fs";
import path from "node:path";
import { recordAttempt } from "../../../server/actions/attempts.ts";
import { addBuild } from "../../../server/actions/builds.ts";
import { boardActions, chipActions, workloadActions } from "../../../server/actions/parts.ts";
import { openJournal } from "../../../server/store/file/journal.ts";

/**
 * Records attempts through the program's own store and writes down how many were acknowledged, then ends without
 * closing the journal. Arguments: the folder, the synchronous level, how many attempts.
 */
const [, , folder = "", level = "FULL", count = "100"] = process.argv;
const migrations = path.resolve(import.meta.dirname, "../../../migrations");
const journal = openJournal(path.join(folder, "journal.db"), { migrations, randomBytes });
journal.db.$client.pragma(`synchronous = ${level}`);
journal.db.$client.pragma("wal_autocheckpoint = 20");

const at = { journal, now: "2031-05-04T10:00:00.000Z" };
const { build, workload } = journal.writeNow(() => {
  const chip = chipActions.add({ name: "Tern 8", kind: "cpu", tempLimitC: 95 }, at);
  const board = boardActions.add({ name: "Quay S" }, at);
  return {
    workload: workloadActions.add({ name: "Stacking", kind: "all-core" }, at),
    build: addBuild({ name: "Cupboard", chipId: chip.id, boardId: board.id }, at),
  };
});
const acknowledged = openSync(path.join(folder, "acknowledged"), "a");
for (let i = 1; i <= Number(count); i++) {
  await journal.write(() =>
    recordAttempt(
      build.id,
      {
        workloadId: workload.id,
        clockMhz: 4600,
        voltageMv: 1200,
        outcome: "pass",
        durationS: i,
        note: "x".repeat(i % 200),
      },
      at,
    ),
  );
  writeSync(acknowledged, `${i}\n`);
}
process.kill(process.pid, "SIGKILL");
