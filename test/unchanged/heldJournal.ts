import { mkdtempSync, rmSync } from "node:fs";
import os from "node:os";
import path from "node:path";
import { onTestFinished } from "vitest";
import { recordAttempt } from "../../server/actions/attempts.ts";
import { addBuild } from "../../server/actions/builds.ts";
import { boardActions, chipActions, workloadActions } from "../../server/actions/parts.ts";
import { seededRandom } from "../../server/numerics/seededRandom.ts";
import { type JournalOptions, openJournal } from "../../server/store/file/journal.ts";

export const heldNow = "2031-05-04T13:42:00.000Z";

/** The same ids each time. */
export function heldOptions(seed: number): JournalOptions {
  const chance = seededRandom(seed + 1000);
  const randomBytes = (count: number) => Buffer.from(Array.from({ length: count }, () => chance.index(256)));
  return { migrations: path.resolve(import.meta.dirname, "../../migrations"), randomBytes };
}

export function heldFolder(): string {
  const folder = mkdtempSync(path.join(os.tmpdir(), "rungbook-held-"));
  onTestFinished(() => rmSync(folder, { recursive: true, force: true }));
  return folder;
}

/** A journal with two builds of a chip and an attempt, without a server around it. */
export function heldJournal(seed: number, file = path.join(heldFolder(), "journal.db")) {
  const journal = openJournal(file, heldOptions(seed));
  onTestFinished(() => journal.close());
  const at = { journal, now: heldNow };
  return journal.writeNow(() => {
    const chipId = chipActions.add({ name: "Tern 8", kind: "cpu", tempLimitC: 95 }, at).id;
    const boardId = boardActions.add({ name: "Quay S" }, at).id;
    const loadId = workloadActions.add({ name: "Stacking", kind: "all-core" }, at).id;
    const lightId = workloadActions.add({ name: "Browsing", kind: "everyday" }, at).id;
    const buildId = addBuild({ name: "Cupboard", chipId, boardId }, at).id;
    const otherId = addBuild({ name: "Open frame", chipId, boardId }, at).id;
    const draft = {
      workloadId: loadId,
      clockMhz: 4600,
      voltageMv: 1200,
      outcome: "pass",
      durationS: 900,
    } as const;
    const attemptId = recordAttempt(buildId, draft, at).id;
    return { journal, at, chipId, boardId, loadId, lightId, buildId, otherId, attemptId };
  });
}

export type Held = ReturnType<typeof heldJournal>;

/** So many seconds after it was opened. */
export const later = (seconds: number): string =>
  new Date(Date.parse(heldNow) + 1000 * seconds).toISOString();

/** The journal's writes, each a second after the one before. */
export function writingOn({ journal }: Held) {
  let seconds = 0;
  return <Result>(work: (at: Held["at"]) => Result): Result => {
    seconds += 1;
    return journal.writeNow(() => work({ journal, now: later(seconds) }));
  };
}
