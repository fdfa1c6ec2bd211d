import { existsSync, writeFileSync } from "node:fs";
import path from "node:path";
import Database from "better-sqlite3";
import { describe, expect, it } from "vitest";
import { boardActions } from "../../../server/actions/parts.ts";
import { Refusal } from "../../../server/bench/things/refusal.ts";
import { type Journal, joinJournal, muchHeldKib, openJournal } from "../../../server/store/file/journal.ts";
import {
  freshJournal,
  migrations,
  smallWorld,
  temporaryFolder,
  testServer,
  theInstant,
} from "../../support/bench.ts";
import { layOut, released } from "./keptJournals.ts";

const randomBytes = (count: number) => new Uint8Array(count).fill(7);

describe("openJournal(file)", () => {
  it("writes every commit to the disk before it is acknowledged, also on reopening", () => {
    const journal = freshJournal();
    expect(journal.db.$client.pragma("synchronous", { simple: true })).toBe(2);
    expect(journal.db.$client.pragma("journal_mode", { simple: true })).toBe("wal");
    journal.close();
    const again = freshJournal(journal.file);
    expect(again.db.$client.pragma("synchronous", { simple: true })).toBe(2);
  });

  it("holds little of the file in memory of its own, however long it is open, and more where much is written in one go", () => {
    const file = path.join(temporaryFolder(), "journal.db");
    const journal = freshJournal(file);
    const heldBy = (one: Journal) => one.db.$client.pragma("cache_size", { simple: true });
    const options = { migrations, randomBytes };
    const [reads, imports] = [
      joinJournal(file, options),
      joinJournal(file, { ...options, heldKib: muchHeldKib }),
    ];
    expect([journal, reads, imports].map(heldBy)).toEqual([-4000, -4000, -16_000]);
    for (const one of [reads, imports, journal]) one.close();
  });

  it("keeps every table strict and every row where it belongs", () => {
    const { db } = freshJournal();
    const loose = db.$client
      .prepare(
        "SELECT name FROM pragma_table_list WHERE schema = 'main' AND type = 'table' AND strict = 0 AND name NOT LIKE 'sqlite_%' AND name <> '__drizzle_migrations'",
      )
      .all();
    expect(loose).toEqual([]);
    expect(db.$client.pragma("foreign_keys", { simple: true })).toBe(1);
  });

  it("refuses in the file itself what no form would let through", async () => {
    const server = await testServer();
    const { cupboard, heavy } = await smallWorld(server);
    const body = { workloadId: heavy, clockMhz: 4600, voltageMv: 1200, outcome: "pass", durationS: 900 };
    await server.send("POST", `/api/builds/${cupboard}/attempts`, body);
    const change = (assignment: string) => () =>
      server.journal.db.$client.exec(`UPDATE attempts SET ${assignment}`);
    expect(change("outcome = 'fine'")).toThrow(/CHECK/);
    expect(change("clock_khz = 0")).toThrow(/CHECK/);
    expect(change("duration_s = NULL")).toThrow(/CHECK/);
    expect(change("voltage_uv = 'high'")).toThrow(/cannot store TEXT/);
    expect(change("workload_id = 'nobody'")).toThrow(/FOREIGN KEY/);
  });

  it("says that a file is no journal and leaves it alone", () => {
    const file = path.join(temporaryFolder(), "letter.db");
    writeFileSync(file, "Dear reader, this is not a database at all, whatever its name says.".repeat(20));
    expect(() => openJournal(file, { migrations, randomBytes })).toThrow(
      /is not a journal, or its first page is damaged/,
    );
  });

  it("gives every table a checksum for its rows", () => {
    const { $client } = freshJournal().db;
    const without = $client
      .prepare(
        `SELECT name FROM pragma_table_list WHERE schema = 'main' AND type = 'table' AND name NOT LIKE 'sqlite_%'
           AND name <> '__drizzle_migrations' AND name NOT IN (SELECT t.name FROM sqlite_schema t, pragma_table_info(t.name) c WHERE c.name = 'checksum')`,
      )
      .pluck()
      .all();
    expect(without).toEqual([]);
  });

  it("refuses a journal of a newer program and changes nothing", () => {
    const journal = freshJournal();
    journal.db.$client.exec("INSERT INTO __drizzle_migrations (hash, created_at) VALUES ('later', 1)");
    journal.close();
    expect(() => openJournal(journal.file, { migrations, randomBytes })).toThrow(/newer version/);
  });
});

describe("migrating a filled journal", () => {
  it.each(Array.from({ length: released }, (_, i) => i + 1))(
    "as the program left it after %i migrations loses no row and no value",
    (steps) => {
      const file = path.join(temporaryFolder(), "old.db");
      layOut(steps, file);
      const before = contentOf(file);
      expect(before.tables.attempts).toHaveLength(20);
      expect(before.tables.attempt_edits?.length).toBeGreaterThanOrEqual(20);
      const migrated = freshJournal(file);
      expect(migrated.faults()).toEqual([]);
      expect(migrated.attempts.all()).toHaveLength(20);
      const after = contentOf(file);
      expect(after.tables).toMatchObject(before.tables);
      const fresh = contentOf(freshJournal().file);
      expect(after.columns).toEqual(fresh.columns);
      expect(after.indexes).toEqual(fresh.indexes);
      const backup = path.join(path.dirname(file), "backups", `old-before-update-from-${steps}.db`);
      expect(existsSync(backup)).toBe(steps < released);
    },
  );

  it("loses child rows when foreign keys stay on through a rebuild, which is why they are off", () => {
    const file = path.join(temporaryFolder(), "trap.db");
    const client = new Database(file);
    client.exec(`
      CREATE TABLE parents (id INTEGER PRIMARY KEY);
      CREATE TABLE children (id INTEGER PRIMARY KEY, parent REFERENCES parents(id) ON DELETE CASCADE);
      INSERT INTO parents VALUES (1); INSERT INTO children VALUES (1, 1);`);
    const rebuild = client.transaction(() =>
      client.exec(`
        PRAGMA foreign_keys = OFF;
        CREATE TABLE new_parents (id INTEGER PRIMARY KEY, name TEXT);
        INSERT INTO new_parents (id) SELECT id FROM parents;
        DROP TABLE parents; ALTER TABLE new_parents RENAME TO parents;`),
    );
    client.pragma("foreign_keys = ON");
    rebuild();
    expect(client.prepare("SELECT count(*) AS n FROM children").get()).toEqual({ n: 0 });
    client.close();
  });
});

type Content = { tables: Record<string, unknown[]>; columns: string[]; indexes: string[] };

/** Every row of every table in the order it was written, and the columns there are. */
function contentOf(file: string): Content {
  const client = new Database(file, { readonly: true });
  const columns = client
    .prepare(
      `SELECT m.name || '.' || c.name FROM sqlite_schema m, pragma_table_info(m.name) c
       WHERE m.type = 'table' AND m.name NOT LIKE 'sqlite_%' ORDER BY 1`,
    )
    .pluck()
    .all() as string[];
  const indexes = client
    .prepare("SELECT sql FROM sqlite_schema WHERE type = 'index' AND sql IS NOT NULL ORDER BY name")
    .pluck()
    .all() as string[];
  const names = [...new Set(columns.map((column) => column.split(".")[0] as string))];
  const tables = names.filter((name) => !name.startsWith("__"));
  const rowsOf = (table: string) => client.prepare(`SELECT * FROM "${table}" ORDER BY 1, 2`).all();
  const content = {
    columns,
    indexes,
    tables: Object.fromEntries(tables.map((name) => [name, rowsOf(name)])),
  };
  client.close();
  return content;
}

describe("writing", () => {
  it("commits what waits together, and one that is refused spoils only itself", async () => {
    const journal = freshJournal();
    const before = journal.revision();
    const board = (name: string) => () =>
      journal.boards.put(
        {
          id: journal.newId("2031-05-04T13:42:00.000Z").replace(/.$/, name),
          createdAt: "2031-05-04T13:42:00.000Z",
          updatedAt: "2031-05-04T13:42:00.000Z",
          version: 1,
        },
        { name, formFactor: null, corePhases: null, phaseRatingA: null, supplyTempLimitC: null, note: "" },
      );
    const refusing = () => {
      board("9")();
      throw new Refusal("conflict", "no");
    };
    const settled = await Promise.allSettled(
      [1, 2, 3].map((n) => journal.write(n === 2 ? refusing : board(String(n)))),
    );
    expect(settled.map((one) => one.status)).toEqual(["fulfilled", "rejected", "fulfilled"]);
    expect(journal.boards.all().map((one) => one.name)).toEqual(["1", "3"]);
    await new Promise(setImmediate);
    expect(journal.revision()).toBe(before + 1);
  });

  it("says that another program holds the file, alone and among others, and goes on once that lets go", async () => {
    const journal = freshJournal();
    journal.db.$client.pragma("busy_timeout = 20");
    const other = new Database(journal.file);
    other.exec("BEGIN IMMEDIATE");
    const at = { journal, now: theInstant };
    const add = (name: string) => journal.write(() => boardActions.add({ name }, at));
    const refused = { code: "conflict", message: expect.stringMatching(/^Another program is writing/) };
    await expect(add("Quay S")).rejects.toMatchObject(refused);
    const both = await Promise.allSettled([add("Quay S"), add("Quay L")]);
    expect(both).toMatchObject([{ reason: refused }, { reason: refused }]);
    other.exec("ROLLBACK");
    other.close();
    await add("Mole");
    expect(journal.boards.all().map(({ name }) => name)).toEqual(["Mole"]);
  });

  it("says that the disk is full, keeps nothing by halves and goes on once there is room", async () => {
    const server = await testServer();
    const { send, journal } = server;
    await smallWorld(server);
    const client = journal.db.$client;
    client.exec("VACUUM");
    const pages = client.pragma("page_count", { simple: true }) as number;
    client.pragma(`max_page_count = ${pages}`);
    const note = "x".repeat(9000);
    const refused = await send("POST", "/api/boards", { name: "Mole", note });
    expect([refused.status, refused.body.error.code]).toEqual([507, "full"]);
    expect((await send("GET", "/api/boards")).body.items).toHaveLength(2);
    client.pragma("max_page_count = 1000000");
    expect((await send("POST", "/api/boards", { name: "Mole", note })).status).toBe(201);
    expect(journal.faults()).toEqual([]);
  });
});
