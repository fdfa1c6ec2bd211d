import { readdirSync, readFileSync, renameSync, statSync, truncateSync, writeFileSync } from "node:fs";
import path from "node:path";
import Database from "better-sqlite3";
import { describe, expect, it } from "vitest";
import { recordAttempt } from "../../../server/actions/attempts.ts";
import { addBuild } from "../../../server/actions/builds.ts";
import { boardActions, chipActions, workloadActions } from "../../../server/actions/parts.ts";
import { writeBackup } from "../../../server/store/file/backingUp.ts";
import { applicationId, examined } from "../../../server/store/file/examination.ts";
import { openHeld } from "../../../server/store/file/held.ts";
import { type Journal, openJournal } from "../../../server/store/file/journal.ts";
import { faultsOfFile } from "../../../server/store/file/journalFile.ts";
import { freshJournal, migrations, temporaryFolder, theInstant } from "../../support/bench.ts";
import { layOut } from "./keptJournals.ts";

const options = { migrations, randomBytes: (count: number) => new Uint8Array(count).fill(7) };

/** A journal with a build, and a way to record attempts of it. */
function benchJournal(file?: string) {
  const journal = freshJournal(file);
  const at = { journal, now: theInstant };
  const build = journal.writeNow(() => {
    const chip = chipActions.add({ name: "Tern 8", kind: "cpu", tempLimitC: 95 }, at);
    const board = boardActions.add({ name: "Quay S" }, at);
    return addBuild({ name: "Cupboard", chipId: chip.id, boardId: board.id }, at);
  });
  const load = journal.writeNow(() => workloadActions.add({ name: "Stacking", kind: "all-core" }, at));
  let clockMhz = 4000;
  const record = () => {
    clockMhz += 25;
    const draft = {
      workloadId: load.id,
      voltageMv: 1200,
      outcome: "pass",
      durationS: 900,
      clockMhz,
    } as const;
    return journal.writeNow(() => recordAttempt(build.id, draft, at)).id;
  };
  return { journal, record, buildId: build.id };
}

const leftIn = (folder: string) =>
  Object.fromEntries(
    readdirSync(folder)
      .sort()
      .map((name) => [name, statSync(path.join(folder, name)).mtimeMs]),
  );
const copyOf = (file: string, name = "copied.db") => {
  const copy = path.join(temporaryFolder(), name);
  writeFileSync(copy, readFileSync(file));
  return copy;
};

describe("a file that is opened", () => {
  it("carries our mark in its header, and the number of its schemas", () => {
    const { journal } = benchJournal();
    journal.close();
    const header = readFileSync(journal.file).subarray(0, 100);
    expect(header.readUInt32BE(68)).toBe(applicationId);
    expect(header.toString("latin1", 68, 72)).toBe("Rung");
    expect(header.readInt32BE(60)).toBe(
      readdirSync(migrations).filter((name) => name.endsWith(".sql")).length,
    );
  });

  it.each([
    [
      "with tables of its own",
      "CREATE TABLE recipes (name TEXT); INSERT INTO recipes VALUES ('soup')",
      "DELETE",
    ],
    ["in the log mode that ours has", "CREATE TABLE recipes (name TEXT)", "WAL"],
    ["with an id of its own", "PRAGMA application_id = 1234", "DELETE"],
    ["with a table called as one of ours", "CREATE TABLE attempts (name TEXT)", "WAL"],
  ])("is refused untouched where it is another program's database %s", (_, sql, mode) => {
    const folder = temporaryFolder();
    const file = path.join(folder, "other.db");
    const client = new Database(file);
    client.pragma(`journal_mode = ${mode}`);
    client.exec(sql);
    client.close();
    const [before, bytes] = [leftIn(folder), readFileSync(file)];
    expect(() => openHeld(file, options)).toThrow(`${file} is a database of another program.`);
    expect(leftIn(folder)).toEqual(before);
    expect(readFileSync(file).equals(bytes)).toBe(true);
  });

  it("is refused untouched while another program has its tables in a log", () => {
    const folder = temporaryFolder();
    const client = new Database(path.join(folder, "other.db"));
    client.pragma("journal_mode = WAL");
    client.exec("CREATE TABLE recipes (name TEXT)");
    const before = readdirSync(folder);
    expect(() => openHeld(client.name, options)).toThrow("is a database of another program");
    expect(readdirSync(folder)).toEqual(before);
    client.exec("INSERT INTO recipes VALUES ('soup')");
    client.close();
  });

  it("is refused untouched where a newer version wrote it, and taken as ours without a mark", () => {
    const { journal } = benchJournal();
    journal.close();
    const client = new Database(journal.file);
    client.pragma("user_version = 99");
    client.close();
    const before = leftIn(path.dirname(journal.file));
    expect(() => openHeld(journal.file, options)).toThrow("written by a newer version");
    expect(leftIn(path.dirname(journal.file))).toEqual(before);
    const older = new Database(journal.file);
    older.pragma("user_version = 0");
    older.pragma("application_id = 0");
    older.close();
    const held = openHeld(journal.file, options);
    held.journal.close();
    held.hold?.release();
    expect(readFileSync(journal.file).readUInt32BE(68)).toBe(applicationId);
  });

  it("is refused with its name and what to do where its end is missing, it is empty now, or a folder", () => {
    const { journal } = benchJournal();
    journal.close();
    const file = copyOf(journal.file);
    truncateSync(file, 4096 * 12);
    expect(() => openHeld(file, options)).toThrow(
      new RegExp(`^The end of ${file} is missing: .* restore FILE`),
    );
    // A log of one frame of the smallest page may hold it, one that is shorter cannot (SQLite's file format, 4.1).
    const refusedWith = (logBytes: number): unknown => {
      const log = Buffer.alloc(logBytes);
      log.writeUInt32BE(0x37_7f_06_82);
      writeFileSync(`${file}-wal`, log);
      try {
        return examined(file, 1);
      } catch (error) {
        return error;
      }
    };
    expect(String(refusedWith(32 + 24 + 511))).toContain("is missing");
    expect(String(refusedWith(32 + 24 + 512))).not.toContain("is missing");
    const emptied = copyOf(journal.file);
    const held = openHeld(emptied, options);
    held.hold?.announce("http://127.0.0.1:1");
    held.journal.close();
    held.hold?.release();
    truncateSync(emptied, 0);
    expect(() => openHeld(emptied, options)).toThrow(/is empty, and it was a journal before.* restore FILE/);
    expect(() => openHeld(path.dirname(file), options)).toThrow(`${path.dirname(file)} is a folder`);
  });
});

describe("one process at a time", () => {
  it("holds a journal, says to the next where it listens, and lets go as it ends", () => {
    const file = path.join(temporaryFolder(), "journal.db");
    const first = openHeld(file, options);
    expect(() => openHeld(file, options)).toThrow(/is open in a running Rungbook\. Use that one/);
    first.hold?.announce("http://127.0.0.1:4780");
    const before = readFileSync(file);
    expect(() => openHeld(file, options)).toThrow(
      /running Rungbook that listens on http:\/\/127\.0\.0\.1:4780\./,
    );
    expect(readFileSync(file).equals(before)).toBe(true);
    first.journal.close();
    first.hold?.release();
    const second = openHeld(file, options);
    second.journal.close();
    second.hold?.release();
  });

  it("is not kept out by a lock file that is damaged", () => {
    const file = path.join(temporaryFolder(), "journal.db");
    writeFileSync(`${file}.lock`, "This is a letter. ".repeat(300));
    const held = openHeld(file, options);
    expect(() => openHeld(file, options)).toThrow("is open in a running Rungbook");
    held.journal.close();
    held.hold?.release();
  });

  it("is not kept out by a lock file with a broken page", () => {
    const file = path.join(temporaryFolder(), "journal.db");
    const lock = new Database(`${file}.lock`);
    lock.exec("CREATE TABLE one (a)");
    lock.close();
    const bytes = readFileSync(`${file}.lock`);
    writeFileSync(`${file}.lock`, bytes.fill(0xff, 100, 120));
    const held = openHeld(file, options);
    held.journal.close();
    held.hold?.release();
  });
});

describe("the log of a journal", () => {
  it("is taken in once the journal rests, so that the one file holds all of it", () => {
    const { journal, record } = benchJournal();
    record();
    expect(statSync(`${journal.file}-wal`).size).toBeGreaterThan(0);
    journal.settle();
    expect(statSync(`${journal.file}-wal`).size).toBe(0);
    const alone = freshJournal(copyOf(journal.file));
    expect([alone.stopped(), alone.attempts.count(), alone.faults()]).toEqual([null, 1, []]);
  });

  it("is missed where it was there and is gone, and what is there can be read until its owner goes on", () => {
    const { journal, record } = benchJournal();
    record();
    journal.settle();
    record();
    const file = copyOf(journal.file);
    const opened = openJournal(file, options);
    expect(opened.stopped()).toMatchObject({ because: "log-gone" });
    expect(opened.stopped()?.words).toMatch(
      /copied\.db-wal, is gone: what was recorded after .* may be missing/,
    );
    expect(opened.attempts.count()).toBe(1);
    expect(() => opened.writeNow(() => undefined)).toThrow("may be missing");
    opened.close();
    expect(faultsOfFile(file)).toEqual([expect.stringContaining("log that belonged to the file is gone")]);
    const again = openJournal(file, options);
    again.goOn();
    again.writeNow(() => undefined);
    again.close();
    const last = openJournal(file, options);
    expect([last.stopped(), faultsOfFile(file)]).toEqual([null, []]);
    last.close();
  });

  it("is still missed by the next start where an update waits, which comes only once its owner has gone on", () => {
    const file = path.join(temporaryFolder(), "journal.db");
    layOut(9, file);
    const older = new Database(file);
    older.pragma("journal_mode = DELETE");
    older.pragma("user_version = -9");
    older.close();
    const before = readFileSync(file);
    for (let start = 0; start < 2; start++) {
      const opened = openJournal(file, options);
      expect(opened.stopped()?.because).toBe("log-gone");
      expect(opened.attempts.count()).toBeGreaterThan(0);
      expect(() => opened.writeNow(() => undefined)).toThrow("may be missing");
      opened.close();
      expect(readFileSync(file).equals(before)).toBe(true);
    }
    const last = openJournal(file, options);
    last.goOn();
    expect(last.stopped()?.words).toContain("start it again");
    expect(() => last.writeNow(() => undefined)).toThrow("start it again");
    last.close();
    const updated = openJournal(file, options);
    expect(updated.stopped()).toBeNull();
    updated.writeNow(() => undefined);
    updated.close();
    expect(faultsOfFile(file)).toEqual([]);
  });

  it("is not missed after any of: a rest, a close, a kill that leaves it, a backup, and a first commit", () => {
    const { journal, record } = benchJournal();
    const asKilled = () => {
      const copy = copyOf(journal.file);
      writeFileSync(`${copy}-wal`, readFileSync(`${journal.file}-wal`));
      const opened = openJournal(copy, options);
      const found = [opened.stopped(), opened.attempts.count()];
      opened.close();
      return found;
    };
    record();
    expect(asKilled()).toEqual([null, 1]);
    journal.settle();
    expect(asKilled()).toEqual([null, 1]);
    record();
    expect(asKilled()).toEqual([null, 2]);
    const backup = path.join(temporaryFolder(), "backup.db");
    writeBackup(journal.db.$client, backup);
    expect(readFileSync(backup).readInt32BE(60)).toBeGreaterThan(0);
    const opened = openJournal(backup, options);
    expect([opened.stopped(), opened.attempts.count()]).toEqual([null, 2]);
    opened.close();
    journal.close();
    const closed = openJournal(journal.file, options);
    expect(closed.stopped()).toBeNull();
    closed.close();
  });

  it("costs an attempt no page more while the bench is at work", () => {
    const { journal, record } = benchJournal();
    record();
    journal.db.$client.pragma("wal_checkpoint(TRUNCATE)");
    record();
    const before = statSync(`${journal.file}-wal`).size;
    for (let n = 0; n < 50; n++) record();
    expect((statSync(`${journal.file}-wal`).size - before) / 4120 / 50).toBeLessThanOrEqual(3.7);
  });
});

describe("a damaged page", () => {
  /** A journal whose attempts fill many pages, one of which is overwritten. */
  function damagedJournal(): { journal: Journal; newest: string } {
    const { journal, record } = benchJournal();
    let newest = "";
    for (let n = 0; n < 120; n++) newest = record();
    journal.close();
    const client = new Database(journal.file);
    const pages = client
      .prepare("SELECT pageno FROM dbstat WHERE name = 'attempts' AND pagetype = 'leaf' ORDER BY pageno")
      .pluck()
      .all() as number[];
    client.close();
    const bytes = readFileSync(journal.file);
    const page = pages[3] as number;
    bytes.fill(0xa5, (page - 1) * 4096, page * 4096);
    writeFileSync(journal.file, bytes);
    return { journal: openJournal(journal.file, options), newest };
  }

  it("stops the writing with a sentence, and the rest can be read", () => {
    const { journal, newest } = damagedJournal();
    expect(journal.stopped()).toBeNull();
    let told: unknown;
    try {
      journal.attempts.all();
    } catch (error) {
      told = journal.refusalOf(error);
    }
    expect(told).toMatchObject({ code: "stopped" });
    expect(journal.stopped()?.words).toMatch(
      /The journal is damaged.*rungbook check.*rungbook export FILE.*rungbook restore FILE/s,
    );
    expect(() => journal.writeNow(() => undefined)).toThrow("The journal is damaged");
    expect(journal.attempts.find(newest)?.clockMhz).toBe(7000);
    expect(journal.chips.all()).toHaveLength(1);
    journal.close();
  });

  it("in the header or the schema is a sentence that names the file and the way out", () => {
    const { journal } = benchJournal();
    journal.close();
    const bytes = readFileSync(journal.file);
    for (const [from, to] of [
      [0, 16],
      [100, 4096],
    ] as const) {
      const file = copyOf(journal.file);
      const spoiled = Buffer.from(bytes);
      spoiled.fill(0x5a, from, to);
      writeFileSync(file, spoiled);
      expect(() => openHeld(file, options)).toThrow(new RegExp(`^${file} .*damaged.*rungbook restore FILE`));
      expect(readFileSync(file).equals(spoiled)).toBe(true);
    }
  });
});

describe("a backup", () => {
  it("has its name only once it is whole and on the disk", () => {
    const { journal } = benchJournal();
    const folder = temporaryFolder();
    const file = path.join(folder, "backup.db");
    writeFileSync(`${file}.unfinished`, "what a killed backup left");
    writeBackup(journal.db.$client, file);
    expect(readdirSync(folder)).toEqual(["backup.db"]);
    expect(() => writeBackup(journal.db.$client, file)).toThrow("backup.db is there already");
    renameSync(file, `${file}.moved`);
    expect(faultsOfFile(`${file}.moved`)).toEqual([]);
  });
});
