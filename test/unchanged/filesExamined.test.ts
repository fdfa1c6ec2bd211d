import { existsSync, readFileSync, truncateSync, writeFileSync } from "node:fs";
import path from "node:path";
import Database from "better-sqlite3";
import { expect, it } from "vitest";
import { Refusal } from "../../server/bench/things/refusal.ts";
import {
  applicationId,
  clearMark,
  copyElsewhere,
  examined,
  lookedThrough,
  schemasDone,
} from "../../server/store/file/examination.ts";
import { codeOf, fileRefusal, isDamage } from "../../server/store/file/fileWords.ts";
import { stoppingOf } from "../../server/store/file/stopping.ts";
import { closedJournal, known, tellingOfFiles } from "./heldFiles.ts";
import { heldFolder } from "./heldJournal.ts";

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
