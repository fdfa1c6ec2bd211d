import { mkdtempSync, readFileSync, statSync } from "node:fs";
import { tmpdir } from "node:os";
import path from "node:path";
import Database from "better-sqlite3";
import { describe, expect, it } from "vitest";
import { logMarkOn } from "../../../server/store/file/logMark.ts";

const fileOf = (schemas: number) => {
  const file = path.join(mkdtempSync(path.join(tmpdir(), "rungbook-mark-")), "bench.db");
  const client = new Database(file);
  client.pragma("journal_mode = WAL");
  client.exec("CREATE TABLE notes (words TEXT)");
  client.pragma(`user_version = ${schemas}`);
  const version = () => client.pragma("user_version", { simple: true });
  return { file, client, version };
};

describe("the mark that a log belongs to the file", () => {
  it.each([1, 14])("is set before the first commit and cleared with the log, of %d schemas", (schemas) => {
    const { client, version } = fileOf(schemas);
    const mark = logMarkOn(client, { clears: true });
    mark.clear();
    expect([version(), mark.isSet()]).toEqual([schemas, false]);
    for (let rest = 0; rest < 2; rest += 1) {
      mark.set();
      mark.set();
      expect([version(), mark.isSet()]).toEqual([-schemas, true]);
      mark.clear();
      expect([version(), mark.isSet()]).toEqual([schemas, false]);
    }
    client.close();
  });

  it.each([1, 14])(
    "stands in the file itself, beside a log that is not empty, once it is set, of %d",
    (schemas) => {
      const { file, client } = fileOf(schemas);
      logMarkOn(client, { clears: true }).set();
      // Where the file format of SQLite has the user version (sqlite.org, fileformat2, 1.3).
      expect(readFileSync(file).readInt32BE(60)).toBe(-schemas);
      expect(statSync(`${file}-wal`).size).toBeGreaterThan(0);
      client.close();
    },
  );

  it("is looked up again by a connection from under which another may take it", () => {
    const { file, client, version } = fileOf(14);
    const other = new Database(file);
    const [owner, guest] = [logMarkOn(client, { clears: true }), logMarkOn(other, { clears: false })];
    guest.set();
    expect(guest.isSet()).toBe(true);
    owner.clear();
    expect(guest.isSet()).toBe(false);
    guest.set();
    expect(version()).toBe(-14);
    other.close();
    client.close();
  });
});
