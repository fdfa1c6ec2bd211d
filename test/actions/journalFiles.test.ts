import { mkdirSync, writeFileSync } from "node:fs";
import path from "node:path";
import { describe, expect, it } from "vitest";
import { type FileAnswer, type FileWork, journalFilesOf } from "../../server/actions/journalFiles.ts";
import type { Journal } from "../../server/store/file/journal.ts";
import { temporaryFolder } from "../support/bench.ts";

/** A journal's files with one backup, and a thread that answers when it is told to. */
function filesWithBackup() {
  const folder = path.join(temporaryFolder(), "backups");
  mkdirSync(folder, { recursive: true });
  const name = "bench-20310301-100700.db";
  writeFileSync(path.join(folder, name), "");
  const seen = { held: 0, replaced: 0 };
  const answers: ((answer: FileAnswer) => void)[] = [];
  const asked: FileWork[] = [];
  const file = path.join(folder, "..", "bench.db");
  const journal = {
    ...{ file, original: file, stopped: () => null },
    holdWrites: () => {
      seen.held += 1;
      return () => {
        seen.held -= 1;
      };
    },
    replaced: () => {
      seen.replaced += 1;
    },
  } as unknown as Journal;
  const files = journalFilesOf({
    ...{ journal, folder, migrations: "", now: () => "2031-03-02T09:00:00.000Z" },
    ask: (_, work) => {
      asked.push(work);
      return new Promise((answer) => answers.push(answer));
    },
  });
  return { files, name, seen, answers, asked };
}

describe("putting a backup in place", () => {
  it("is done once at a time, while all that is written waits", async () => {
    const { files, name, seen, answers, asked } = filesWithBackup();
    const first = files.restore(name);
    await expect(files.restore(name)).rejects.toThrow("A backup is being put in place already.");
    expect([seen.held, seen.replaced, asked.length]).toEqual([1, 0, 1]);
    answers[0]?.({ done: "bench.before-restore.db" });
    expect(await first).toBe("bench.before-restore.db");
    expect([seen.held, seen.replaced]).toEqual([0, 1]);
    const second = files.restore(name);
    answers[1]?.({ done: "again" });
    expect(await second).toBe("again");
  });

  it("lets go of what waits where it fails, and may be tried again", async () => {
    const { files, name, seen, answers } = filesWithBackup();
    const first = files.restore(name);
    answers[0]?.({ refused: { code: "invalid", message: "It cannot be restored." } });
    await expect(first).rejects.toThrow("It cannot be restored.");
    expect([seen.held, seen.replaced]).toEqual([0, 0]);
    const second = files.restore(name);
    answers[1]?.({ done: "kept aside" });
    expect(await second).toBe("kept aside");
  });

  it("is of a backup that is there", async () => {
    const { files, seen, asked } = filesWithBackup();
    for (const other of ["bench-20310302-100700.db", "../bench.db"])
      await expect(files.restore(other)).rejects.toMatchObject({ name: "Refusal", code: "missing" });
    expect([seen.held, asked.length]).toEqual([0, 0]);
  });
});

describe("why the last backup could not be made", () => {
  it("is told until one was", async () => {
    const { files, answers } = filesWithBackup();
    expect(files.lastFault()).toBeNull();
    const failing = files.backUp();
    answers[0]?.({ refused: { code: "full", message: "The disk is full." } });
    await expect(failing).rejects.toThrow("The disk is full.");
    expect(files.lastFault()).toBe("The disk is full.");
    const made = files.backUp();
    answers[1]?.({ done: {} });
    await made;
    expect(files.lastFault()).toBeNull();
  });
});
