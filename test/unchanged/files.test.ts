import {
  copyFileSync,
  existsSync,
  mkdirSync,
  readdirSync,
  readFileSync,
  truncateSync,
  utimesSync,
  writeFileSync,
} from "node:fs";
import path from "node:path";
import Database from "better-sqlite3";
import { expect, it, onTestFinished } from "vitest";
import { recordAttempt } from "../../server/actions/attempts.ts";
import { Refusal } from "../../server/bench/things/refusal.ts";
import { seededRandom } from "../../server/numerics/seededRandom.ts";
import { placeWhole, unfinished, writeBackup } from "../../server/store/file/backingUp.ts";
import {
  backUpInto,
  backupFolderOf,
  backupName,
  backupsIn,
  freeNameBefore,
} from "../../server/store/file/backupFolder.ts";
import {
  applicationId,
  clearMark,
  copyElsewhere,
  examined,
  lookedThrough,
  schemasDone,
} from "../../server/store/file/examination.ts";
import { codeOf, fileRefusal, isDamage } from "../../server/store/file/fileWords.ts";
import { openHeld } from "../../server/store/file/held.ts";
import { holdJournal } from "../../server/store/file/hold.ts";
import {
  type Journal,
  joinJournal,
  journalToRead,
  openJournal,
  schemasIn,
} from "../../server/store/file/journal.ts";
import {
  assertClosed,
  copied,
  faultsOfFile,
  freeNameAside,
  removed,
  swapIn,
} from "../../server/store/file/journalFile.ts";
import { replaceOpen } from "../../server/store/file/replacing.ts";
import { salvaged } from "../../server/store/file/salvage.ts";
import { stoppingOf } from "../../server/store/file/stopping.ts";
import { spoiledLeaves } from "../support/spoiledLeaves.ts";
import { oneOf } from "./chosen.ts";
import { heldFolder, heldJournal, heldNow, heldOptions } from "./heldJournal.ts";
import { telling } from "./telling.ts";

const options = heldOptions(95);
const known = schemasIn(options.migrations);

/** Told without where files lie, when they were written, and how long a schema makes them. */
function tellingOfFiles() {
  const { tell, told } = telling();
  return {
    tell,
    told: () =>
      told()
        .replace(/[^ "]*\/rungbook-held-\w+/g, "")
        .replace(/after \d{4}-\d\d-\d\d \d\d:\d\d UTC/g, "after then")
        .replace(/should have \d+ bytes and has \d{5,}/g, "should have more bytes than it has"),
  };
}

/** A closed journal with some attempts, a trace, an output and edits. */
function closedJournal(count = 40): string {
  const held = heldJournal(95);
  const { journal, at, buildId, loadId, attemptId } = held;
  journal.writeNow(() => {
    for (let n = 0; n < count; n += 1)
      recordAttempt(
        buildId,
        {
          workloadId: loadId,
          clockMhz: 4000 + n,
          voltageMv: 1200,
          outcome: "pass",
          durationS: 60 + n,
          note: `run ${n}`,
        },
        at,
      );
    journal.attempts.keepOutput(attemptId, "wrong at 7");
    const t = Array.from({ length: 5000 }, (_, row) => row);
    const channels = [{ channel: "temperature", unit: "" }];
    journal.traces.append(attemptId, { channels, t, values: [t.map((row) => row % 90)] }, null, heldNow);
    journal.attempts.noteHanging(attemptId, "trace", heldNow);
  });
  journal.close();
  return journal.file;
}

function spoiltIn(folder: string, file: string) {
  let n = 0;
  return (change: (bytes: Buffer) => Buffer | undefined): string => {
    const bytes = Buffer.from(readFileSync(file));
    n += 1;
    const copy = path.join(folder, `spoilt${n}.db`);
    writeFileSync(copy, change(bytes) ?? bytes);
    return copy;
  };
}

it("files of every kind are looked at before they are opened as before", async () => {
  const file = closedJournal(3);
  const folder = heldFolder();
  const { tell, told } = tellingOfFiles();
  const spoilt = spoiltIn(folder, file);
  const size = readFileSync(file).length;
  const look = (asked: string, made: string, schemas = known): void => {
    tell(asked, () => {
      const { writtenAt, ...more } = examined(made, schemas);
      return JSON.stringify([more, writtenAt !== null]);
    });
  };
  const word = (at: number, value: number) => spoilt((bytes) => void bytes.writeInt32BE(value, at));
  look("a journal", file);
  for (const schemas of [known - 1, known, known + 1])
    look(`where ${schemas - known} more are known`, file, schemas);
  look("nothing", path.join(folder, "none.db"));
  look("a folder", folder);
  look("in no folder", path.join(folder, "none", "journal.db"));
  for (const length of [0, 1, 15, 16, 99, 100, 4095, size - 4096, size - 1])
    look(
      `cut to ${length === size - 4096 ? "a page less" : length === size - 1 ? "a byte less" : length}`,
      spoilt((bytes) => bytes.subarray(0, length)),
    );
  look(
    "longer by a byte",
    spoilt((bytes) => Buffer.concat([bytes, Buffer.alloc(1)])),
  );
  look(
    "a text",
    spoilt(() => Buffer.from("a text ".repeat(40))),
  );
  for (const id of [1, applicationId - 1, -1]) look(`of program ${id}`, word(68, id));
  for (const mark of [1, known, known + 1, -known, -known - 1, 0])
    look(
      `marked ${mark > known ? "newer" : mark < -known ? "newer, with a log" : mark === known ? "as it is" : mark === -known ? "with a log" : mark}`,
      word(60, mark),
    );
  look("without our name", word(68, 0));
  look("that was written by something old", word(92, 77));
  look(
    "that was written by something old, and cut",
    spoilt((bytes) => {
      bytes.writeInt32BE(77, 92);
      return bytes.subarray(0, size - 4096);
    }),
  );
  look(
    "with pages of 64 KiB",
    spoilt((bytes) => void bytes.writeUInt16BE(1, 16)),
  );
  for (const [length, begin] of [
    [567, 0x377f0682],
    [568, 0x377f0682],
    [568, 0x377f0683],
    [568, 0x377f0684],
    [569, 0],
  ] as const) {
    const made = word(60, -known);
    const log = Buffer.alloc(length);
    log.writeUInt32BE(begin);
    writeFileSync(`${made}-wal`, log);
    look(`with a log of ${length} that begins ${begin.toString(16)}`, made);
    truncateSync(made, size - 4096);
    look("  and cut", made);
    truncateSync(made, 0);
    look("  and empty", made);
  }
  const others: Readonly<Record<string, readonly string[]>> = {
    "of another": ["accounts"],
    "of two tables of ours": ["attempts", "builds"],
    "that was only begun": ["__drizzle_migrations"],
    "of ours": ["attempts", "builds", "__drizzle_migrations"],
    "of half of ours": ["attempts", "__drizzle_migrations"],
    "without tables": [],
  };
  for (const [name, tables] of Object.entries(others)) {
    const made = path.join(folder, `other ${name}.db`);
    const client = new Database(made);
    client.pragma("user_version = 1");
    for (const table of tables) client.exec(`CREATE TABLE "${table}" (id)`);
    if (tables.includes("__drizzle_migrations"))
      client.exec("INSERT INTO __drizzle_migrations VALUES (1), (2)");
    tell(`schemas of a database ${name}`, () => schemasDone(client));
    client.close();
    look(`a database ${name}`, made);
    look("  where two schemas are known", made, 2);
    look("  where one is", made, 1);
  }
  const marked = word(60, -known);
  clearMark(marked);
  look("whose mark was cleared", marked);
  clearMark(marked);
  tell("cleared twice", () => readFileSync(marked).readInt32BE(60) === known);
  tell("of what is no journal", () => clearMark(spoilt(() => Buffer.from("short"))));
  const short = spoilt((bytes) => bytes.subarray(0, size - 4096));
  for (const [name, made] of Object.entries({
    whole: file,
    cut: short,
    text: spoilt(() => Buffer.from("short")),
  })) {
    const { copy, gone } = copyElsewhere(made);
    tell(`copied, ${name}`, () => [readFileSync(copy).length === size, existsSync(copy)]);
    gone();
    tell("  gone", () => existsSync(copy));
    tell("  looked through", () =>
      lookedThrough(made, (client) => client.prepare("SELECT count(*) FROM attempts").pluck().get()),
    );
  }
  await expect(told()).toMatchFileSnapshot("answers/filesExamined.txt");
});

it("what stands in the way of a file is put into the same words as before", async () => {
  const folder = heldFolder();
  const file = path.join(folder, "journal.db");
  writeFileSync(file, "");
  const { tell, told } = tellingOfFiles();
  const codes =
    "EISDIR ENOTDIR EEXIST EACCES EPERM EROFS ENOENT EMFILE ENFILE ENOSPC EDQUOT EIO E1 SQLITE_BUSY SQLITE_BUSY_SNAPSHOT SQLITE_FULL SQLITE_IOERR_SHMSIZE SQLITE_IOERR SQLITE_IOERR_READ SQLITE_IOERR_SHORT_READ SQLITE_IOERR_FSYNC SQLITE_IOERR_CORRUPTFS SQLITE_NOTADB SQLITE_CORRUPT SQLITE_CORRUPT_INDEX SQLITE_CANTOPEN".split(
      " ",
    );
  const answered = (error: unknown, of = file) => {
    const refusal = fileRefusal(error, of);
    return refusal && `${refusal.code}: ${refusal.message}`;
  };
  for (const code of codes) {
    tell(code, () => answered({ code }));
    const stopping = stoppingOf(file);
    tell("  meant", () => [
      isDamage({ code }),
      codeOf({ cause: { cause: { code } } }) === code,
      stopping.refusalOf({ code })?.message.slice(0, 30),
      stopping.stopped()?.because,
    ]);
  }
  tell("beneath another", () => answered({ code: "ERR_X", cause: { code: "EACCES" } }));
  tell("of no file", () =>
    [null, undefined, 7, {}, new Error("so")].map((error) => [
      codeOf(error),
      answered(error),
      isDamage(error),
    ]),
  );
  tell("not opened, in no folder", () =>
    answered({ code: "SQLITE_CANTOPEN" }, path.join(folder, "none", "a.db")),
  );
  tell("an end that is missing", () => [
    isDamage(new Refusal("invalid", "so", {}, { endMissing: true })),
    isDamage(new Refusal("invalid", "so")),
  ]);
  const stopping = stoppingOf(file);
  tell(
    "from another thread",
    () => stopping.refusalOf(new Error("x", { cause: "database disk image is malformed" }))?.message,
  );
  tell("  stopped", () => stopping.stopped()?.words);
  tell("  going", () => stopping.assertGoing());
  stopping.goOn();
  tell("  going on", () => [stopping.assertGoing(), stopping.stopped()]);
  stopping.stop({ because: "read-only", words: "so it is" });
  tell("  read only", () => stopping.assertGoing());
  await expect(told()).toMatchFileSnapshot("answers/filesWords.txt");
});

it("backups are named, found, made and let go of as before, whatever else lies there", async () => {
  const file = closedJournal(2);
  const folder = heldFolder();
  const { tell, told } = tellingOfFiles();
  const random = seededRandom(96);
  tell("named", () => [
    backupName(file, heldNow),
    path.basename(backupFolderOf(file)),
    backupName("/x/my.journal", "2031-12-31T23:59:59.999Z"),
  ]);
  const strays = [
    ...[
      "journal-20310101-000000.db",
      "journal-20311301-000000.db",
      "journal-2031010-000000.db",
      "journal-20310101-000000.db.unfinished",
    ],
    ...[
      "other-20310101-000000.db",
      "journal-before-update-from-12.db",
      "journal-before-update-from-12-3.db",
      "journal-before-update-from-.db",
    ],
    ...[
      "journal-20310230-120000.db",
      "journal-20310401-256161.db",
      "journal-notes.txt",
      "xjournal-20310101-000000.db",
      "journal-20310101-000000.dbx",
      "journal-.db",
    ],
  ];
  for (const stray of strays) {
    writeFileSync(path.join(folder, stray), "x".repeat(1 + random.index(9)));
    utimesSync(path.join(folder, stray), 1_900_000_000, 1_900_000_000 + random.index(9999));
  }
  mkdirSync(path.join(folder, "journal-20310505-000000.db"));
  const listed = () =>
    backupsIn(folder, file).map(
      ({ name, at, bytes, why }) => `${name} ${at} ${bytes > 99 ? "whole" : bytes} ${why}`,
    );
  for (const line of listed()) tell("found", () => line);
  tell("in no folder", () => backupsIn(path.join(folder, "none"), file));
  for (const schemas of [11, 12]) {
    for (const more of ["", "-1", "-2"]) {
      tell(`free before ${schemas}`, () => freeNameBefore(file, folder, schemas));
      writeFileSync(path.join(folder, `journal-before-update-from-${schemas}${more}.db`), "x");
    }
  }
  const days = [0, 0.0001, 1, 2, 3, 8, 9, 36, 37, 70, 400];
  for (const day of days) {
    const now = new Date(Date.parse(heldNow) + day * 86_400_000).toISOString();
    writeFileSync(path.join(folder, `journal-20310101-000001.db${unfinished}`), "x");
    tell(`made on day ${day}`, () => {
      const { bytes, ...made } = backUpInto(folder, file, now);
      return [
        JSON.stringify(made),
        bytes > 99,
        readdirSync(folder).filter((name) => name.includes(unfinished)),
        backupsIn(folder, file)
          .filter(({ why }) => why === "day")
          .map(({ at }) => at.slice(0, 10))
          .join(" "),
      ];
    });
  }
  tell("once more at that time", () =>
    backUpInto(folder, file, new Date(Date.parse(heldNow) + 400 * 86_400_000).toISOString()),
  );
  tell("sound", () => faultsOfFile(path.join(folder, backupsIn(folder, file)[0]!.name)));
  const client = new Database(file);
  client.exec("UPDATE boards SET name = 'Quay X'");
  client.close();
  tell("of a journal that is not", () => backUpInto(folder, file, "2033-01-01T00:00:00.000Z"));
  tell("none is let go of for it", () => [
    listed().length,
    readdirSync(folder).filter((name) => name.startsWith("journal-2033")),
  ]);
  tell("placed whole", () =>
    placeWhole(path.join(folder, "whole.txt"), (making) => writeFileSync(making, "whole")),
  );
  tell("again", () => placeWhole(path.join(folder, "whole.txt"), (making) => writeFileSync(making, "other")));
  tell("not placed", () =>
    placeWhole(path.join(folder, "half.txt"), (making) => {
      writeFileSync(making, "half");
      throw Object.assign(new Error(), { code: "ENOSPC" });
    }),
  );
  tell("left", () => readdirSync(folder).filter((name) => /whole|half/.test(name)));
  await expect(told()).toMatchFileSnapshot("answers/filesBackups.txt");
});

/** Writes past the checksums, as a fault of the disk would. */
function changedFile(file: string, folder: string, ...statements: readonly string[]): string {
  const copy = path.join(folder, `changed${readdirSync(folder).length}.db`);
  copyFileSync(file, copy);
  const client = new Database(copy);
  client.pragma("foreign_keys = OFF");
  client.pragma("ignore_check_constraints = ON");
  for (const statement of statements) client.exec(statement);
  client.pragma("wal_checkpoint(TRUNCATE)");
  client.close();
  return copy;
}

function pagesSpoilt(file: string, folder: string, table: string, leaves: readonly number[]): string {
  const copy = path.join(folder, `pages${readdirSync(folder).length}.db`);
  writeFileSync(copy, spoiledLeaves(file, table, leaves));
  return copy;
}

it("journals that were spoilt are told of and saved as before", async () => {
  const file = closedJournal(60);
  const folder = heldFolder();
  const { tell, told } = tellingOfFiles();
  const savedToo = /^(many|a chunk changed|builds gone|mounts|pages|cut)/;
  const look = (asked: string, made: string): void => {
    tell(`${asked}: faults`, () => faultsOfFile(made));
    if (!savedToo.test(asked)) return;
    tell("  saved", () => {
      const { journal, lost, close } = salvaged(made, options);
      const counts = [
        journal.attempts.count(),
        journal.builds.count(),
        journal.chips.count(),
        journal.traces.attempts.count(),
        journal.faults().length,
      ];
      const names = [...journal.chips.all(), ...journal.builds.all(), ...journal.workloads.all()].map(
        ({ name }) => name,
      );
      close();
      return [counts, names, lost];
    });
  };
  look("whole", file);
  const changes: Readonly<Record<string, readonly string[]>> = {
    "attempts changed": ["UPDATE attempts SET note = 'odd' WHERE rowid IN (2, 5)"],
    "attempts changed beyond telling": [
      "UPDATE attempts SET started_at = 9e15, clock_khz = NULL, voltage_uv = NULL WHERE rowid = 3",
    ],
    "an attempt without a voltage": ["UPDATE attempts SET voltage_uv = NULL WHERE rowid = 4"],
    "many attempts changed": ["UPDATE attempts SET note = 'odd' WHERE rowid < 30"],
    "parts changed": ["chips", "boards", "workloads", "builds"].map(
      (table) => `UPDATE ${table} SET name = 'odd'`,
    ),
    "more changed": [
      "UPDATE mounts SET note = 'odd'",
      "UPDATE attempt_outputs SET output = 'odd'",
      "UPDATE build_states SET parts = '{}'",
    ],
    "a chunk changed": ["UPDATE trace_chunks SET packed = zeroblob(40) WHERE rowid = 1"],
    "an overview changed": ["UPDATE trace_overviews SET buckets = zeroblob(40) WHERE level = 512"],
    "a channel and a trace changed": [
      "UPDATE trace_channels SET unit = 'odd' WHERE place = 1",
      "UPDATE traces SET to_s = 7",
    ],
    "times missing": ["DELETE FROM trace_chunks WHERE chunk = 1"],
    "a chunk of the temperature missing": [
      "DELETE FROM trace_chunks WHERE chunk = 1 AND channel_id IN (SELECT id FROM trace_channels WHERE place = 1)",
    ],
    "wrongly traced": ["UPDATE attempts SET traced = 1 - traced WHERE rowid IN (1, 2)"],
    "a load deleted": ["UPDATE workloads SET deleted_at = 5 WHERE name = 'Stacking'"],
    "marked wrongly": [`PRAGMA user_version = ${known + 1}`],
    "marked fewer": [`PRAGMA user_version = ${known - 1}`],
    "a table more": ["CREATE TABLE odd (id)"],
    "chips gone": ["DELETE FROM chips"],
    "builds gone": ["DELETE FROM builds"],
    "loads and boards gone": ["DELETE FROM workloads", "DELETE FROM boards"],
    "mounts and states gone": ["DELETE FROM mounts", "DELETE FROM build_states"],
    "attempts gone": ["DELETE FROM attempts"],
    "all but attempts gone": [
      "DELETE FROM chips",
      "DELETE FROM builds",
      "DELETE FROM workloads",
      "DELETE FROM mounts",
      "DELETE FROM build_states",
    ],
  };
  for (const [name, statements] of Object.entries(changes))
    look(name, changedFile(file, folder, ...statements));
  look("an index gone", pagesSpoilt(file, folder, "sqlite_autoindex_attempts_1", [0]));
  look("the first page of attempts gone", pagesSpoilt(file, folder, "attempts", [0]));
  look("pages of attempts gone", pagesSpoilt(file, folder, "attempts", [1, -2]));
  look("the chips gone", pagesSpoilt(file, folder, "chips", [0]));
  look("pages of the trace gone", pagesSpoilt(file, folder, "trace_chunks", [0]));
  const cut = changedFile(file, folder);
  truncateSync(cut, readFileSync(cut).length - 3 * 4096);
  look("cut", cut);
  tell("cut, opened", () => openJournal(cut, options).close());
  await expect(told()).toMatchFileSnapshot("answers/filesSpoilt.txt");
});

const stateOf = ({ stopped, attempts }: Journal) => [stopped()?.because, stopped()?.words, attempts.count()];

it("journals are opened, held, joined, swapped and replaced as before", async () => {
  const file = closedJournal(2);
  const folder = heldFolder();
  const { tell, told } = tellingOfFiles();
  const random = seededRandom(97);
  const copy = (name: string, change: (bytes: Buffer) => void = () => undefined): string => {
    const bytes = Buffer.from(readFileSync(file));
    change(bytes);
    writeFileSync(path.join(folder, name), bytes);
    return path.join(folder, name);
  };
  const left = () => readdirSync(folder).sort().join(" ");
  const gone = openJournal(
    copy("gone.db", (bytes) => bytes.writeInt32BE(-known, 60)),
    options,
  );
  tell("whose log is gone", () => stateOf(gone));
  tell("  written", () => gone.writeNow(() => 1));
  gone.goOn();
  tell("  gone on with", () => [stateOf(gone), gone.writeNow(() => 1)]);
  gone.close();
  tell("  mark", () => readFileSync(path.join(folder, "gone.db")).readInt32BE(60) === known);
  const main = copy("journal.db");
  const lock = holdJournal(main);
  tell("held twice", () => holdJournal(main));
  lock.announce("http://127.0.0.1:7");
  tell("held and announced", () => holdJournal(main));
  lock.release();
  writeFileSync(`${main}.lock`, "no lock at all, but long enough to be looked at");
  const again = holdJournal(main);
  again.release();
  const empty = path.join(folder, "empty.db");
  writeFileSync(empty, "");
  const first = holdJournal(empty);
  first.announce("here");
  first.release();
  tell("empty, and held before", () => holdJournal(empty));
  for (const stray of [
    ".journal.db.download-7",
    "journal.db.restoring",
    "journal.db.restoring-wal",
    ".other.db.download-7",
    "journal.db.kept",
  ])
    writeFileSync(path.join(folder, stray), "x");
  const held = openHeld(main, options);
  tell("held", () => [stateOf(held.journal), held.hold !== null, left()]);
  tell("closed by others", () => assertClosed(main));
  const { journal } = held;
  const joined = joinJournal(main, options);
  const one = journal.attempts.all()[0]!;
  const revisions = () => [
    journal.revision() - before[0]!,
    joined.revision() - before[1]!,
    journal.begun() - before[2]!,
  ];
  const before = [journal.revision(), joined.revision(), journal.begun()];
  const seen: string[] = [];
  const end = journal.watch((changes) => seen.push(changes.map(({ kind, id }) => `${kind} ${id}`).join()));
  const writes = Array.from({ length: 6 }, (_, n) =>
    journal
      .write(() => {
        journal.attempts.noteHanging(one.id, oneOf(random, ["trace", "output"]), heldNow);
        if (n % 3 === 2) throw new Refusal("conflict", `no ${n}`);
        return n;
      })
      .catch((error: Error) => error.message),
  );
  const outcomes = await Promise.all(writes);
  tell("written together", () => [outcomes, revisions(), seen.splice(0)]);
  tell("alone", () => journal.writeNow(() => journal.chips.noteHanging(one.id, "picture", heldNow)));
  tell("undone", () =>
    journal.writeNow(() => {
      throw new Refusal("conflict", "no");
    }),
  );
  tell("within", () => journal.writeNow(() => journal.writeNow(() => "in one")));
  const letGo = journal.holdWrites();
  const waited = journal.write(() => "waited");
  await new Promise((resolve) => setImmediate(resolve));
  tell("kept waiting", () => revisions());
  joined.writeNow(() => joined.attempts.noteHanging(one.id, "trace", heldNow));
  letGo();
  const came = await waited;
  tell("let go", () => [came, revisions(), journal.committedElsewhere() > 0]);
  end();
  const snapshot = journal.snapshot();
  journal.writeNow(() => journal.attempts.remove(one.id, heldNow));
  tell("a snapshot", () => [snapshot.attempts.count(), journal.attempts.count(), snapshot.stopped()]);
  snapshot.close();
  const toRead = journalToRead(main, options)!;
  tell("read", () => toRead.attempts.count());
  toRead.close();
  tell("faults", () => [journal.faults(), seen.length]);
  journal.settle();
  tell("settled", () => [readFileSync(main).readInt32BE(60) === known, readFileSync(`${main}-wal`).length]);
  writeBackup(journal.db.$client, path.join(folder, "backup.db"));
  tell("a backup", () => faultsOfFile(path.join(folder, "backup.db")));
  joined.close();
  const aside = await replaceOpen(main, file, heldNow, options).catch((error: Error) => error.message);
  journal.replaced();
  tell("replaced", () => [aside, journal.attempts.count(), faultsOfFile(aside), left()]);
  const refused = await replaceOpen(main, empty, heldNow, options).catch((error: Error) => error.message);
  tell("by nothing", () => [refused, left()]);
  tell("free aside", () => [freeNameAside(main, heldNow), freeNameAside("/x/y", heldNow)]);
  journal.close();
  held.hold?.release();
  assertClosed(main);
  copied(main, path.join(folder, "more", "copied.db"));
  tell("copied", () => faultsOfFile(path.join(folder, "more", "copied.db")));
  writeFileSync(`${main}-wal`, "x");
  swapIn(path.join(folder, "backup.db"), main, path.join(folder, "aside.db"));
  tell("swapped", () => left());
  removed(path.join(folder, "aside.db"));
  tell("removed", () => left());
  tell("a text", () => assertClosed(copy("text.db", (bytes) => bytes.fill("text"))));
  tell("faults of an empty one", () => faultsOfFile(empty));
  tell("faults of none", () => faultsOfFile(path.join(folder, "none.db")));
  tell("faults of one whose log is gone", () =>
    faultsOfFile(copy("lost.db", (bytes) => bytes.writeInt32BE(-known, 60))),
  );
  const made = openHeld(path.join(folder, "new", "deep", "journal.db"), options);
  tell("made", () => [stateOf(made.journal), readdirSync(path.join(folder, "new", "deep")).sort()]);
  made.journal.close();
  made.hold?.release();
  tell("where it cannot be made", () =>
    openHeld(path.join(folder, "new", "deep", "journal.db", "more", "x.db"), options),
  );
  mkdirSync(path.join(folder, "more", "meta"), { recursive: true });
  const entries = JSON.stringify({ entries: [{ idx: 0, when: 1, tag: "gone", breakpoints: true }] });
  writeFileSync(path.join(folder, "more", "meta", "_journal.json"), entries);
  const unmade = { ...options, migrations: path.join(folder, "more") };
  tell("where no schema can be made", () => openHeld(path.join(folder, "unmade.db"), unmade));
  tell("  nor its folder kept", () => openHeld(path.join(folder, "unmade", "deep", "journal.db"), unmade));
  tell("another's", () =>
    openHeld(
      copy("others.db", (bytes) => bytes.writeInt32BE(7, 68)),
      options,
    ),
  );
  tell("left", () => left());
  onTestFinished(() => made.journal.close());
  await expect(told()).toMatchFileSnapshot("answers/filesOpened.txt");
});
