import { type ChildProcess, spawn, spawnSync } from "node:child_process";
import { copyFileSync, existsSync, readdirSync, readFileSync, statSync, writeFileSync } from "node:fs";
import path from "node:path";
import Database from "better-sqlite3";
import { afterEach, describe, expect, it } from "vitest";
import { recordAttempt } from "../server/actions/attempts.ts";
import { addBuild } from "../server/actions/builds.ts";
import { boardActions, chipActions, workloadActions } from "../server/actions/parts.ts";
import { layOut } from "./store/file/keptJournals.ts";
import { freshJournal, temporaryFolder, theInstant } from "./support/bench.ts";

const program = path.resolve(import.meta.dirname, "../dist/server/main.js");
const running: ChildProcess[] = [];
afterEach(() => {
  for (const child of running.splice(0)) child.kill("SIGKILL");
});

function asked(journal: string, ...words: string[]) {
  const { status, stdout, stderr } = spawnSync(process.execPath, [program, ...words, "--journal", journal], {
    encoding: "utf8",
    env: { PATH: process.env.PATH },
  });
  return { code: status, out: stdout, err: stderr };
}

async function server(journal: string): Promise<ChildProcess> {
  const child = spawn(process.execPath, [program, "--journal", journal, "--port", "0"], {
    env: { PATH: process.env.PATH },
  });
  running.push(child);
  await new Promise((resolve, reject) => {
    child.stdout.once("data", resolve);
    child.once("exit", reject);
  });
  return child;
}

/** A closed journal with so many attempts. */
function journalWith(attempts: number, file = path.join(temporaryFolder(), "journal.db")): string {
  const journal = freshJournal(file);
  journal.writeNow(() => {
    const at = { journal, now: theInstant };
    const chip = chipActions.add({ name: "Tern 8", kind: "cpu", tempLimitC: 95 }, at);
    const board = boardActions.add({ name: "Quay S" }, at);
    const load = workloadActions.add({ name: "Stacking", kind: "all-core" }, at);
    const build = addBuild({ name: "Cupboard", chipId: chip.id, boardId: board.id }, at);
    const pass = { workloadId: load.id, voltageMv: 1200, outcome: "pass", durationS: 900 } as const;
    for (let n = 0; n < attempts; n++) recordAttempt(build.id, { ...pass, clockMhz: 4000 + 25 * n }, at);
  });
  journal.close();
  return file;
}

function attemptsIn(file: string): number {
  const client = new Database(file, { readonly: true });
  const { n } = client.prepare("SELECT count(*) AS n FROM attempts").get() as { n: number };
  client.close();
  return n;
}

const beside = (file: string) => path.join(path.dirname(file), "copy.db");

describe("backup", () => {
  it("writes a whole journal, also while a server has it open, and never over a file", async () => {
    const journal = journalWith(3);
    await server(journal);
    const copy = beside(journal);
    expect(asked(journal, "backup", copy)).toEqual({
      code: 0,
      out: `Backed up ${journal} to ${copy}.\n`,
      err: "",
    });
    expect(attemptsIn(copy)).toBe(3);
    const again = asked(journal, "backup", copy);
    expect([again.code, again.out]).toEqual([2, ""]);
    expect(again.err).toMatch(/copy\.db is there already; name another file\.\n$/);
  });

  it("brings no journal of an earlier version up to date, and neither does an export", () => {
    const journal = path.join(temporaryFolder(), "journal.db");
    layOut(7, journal);
    const before = readFileSync(journal);
    const copy = beside(journal);
    expect(asked(journal, "backup", copy).code).toBe(0);
    expect(asked(journal, "export", `${copy}.json`).code).toBe(0);
    expect(readFileSync(journal).equals(before)).toBe(true);
    const client = new Database(copy, { readonly: true });
    expect(client.prepare("SELECT count(*) FROM __drizzle_migrations").pluck().get()).toBe(7);
    client.close();
    expect(JSON.parse(readFileSync(`${copy}.json`, "utf8")).attempts).toHaveLength(20);
  });

  it("says that there is no journal rather than making one", () => {
    const journal = path.join(temporaryFolder(), "none", "journal.db");
    const { code, err } = asked(journal, "backup", beside(journal));
    expect([code, err]).toEqual([2, `There is no journal at ${journal}.\n`]);
    expect(existsSync(journal)).toBe(false);
  });
});

describe("check", () => {
  it("finds a sound journal whole", () => {
    const journal = journalWith(2);
    expect(asked(journal, "check")).toEqual({ code: 0, out: `${journal} is whole.\n`, err: "" });
  });

  it("prints each fault and exits 1", () => {
    const journal = journalWith(400);
    const client = new Database(journal);
    client.pragma("foreign_keys = OFF");
    client.exec("DELETE FROM workloads");
    client.close();
    const orphaned = asked(journal, "check");
    expect(orphaned.code).toBe(1);
    expect(
      orphaned.out.split("\n").filter((line) => line === "A row of attempts belongs to nothing."),
    ).toHaveLength(400);
    const bytes = readFileSync(journal);
    bytes.fill(0x5a, 4096 * 20, 4096 * 24);
    writeFileSync(journal, bytes);
    const damaged = asked(journal, "check");
    expect([damaged.code, damaged.err]).toEqual([1, ""]);
    expect(damaged.out.trim()).not.toBe("");
    writeFileSync(journal, "This is a letter. ".repeat(100));
    const letter = asked(journal, "check");
    expect([letter.code, letter.err]).toEqual([1, ""]);
    expect(letter.out).toMatch(/journal\.db is not a journal, or its first page is damaged/);
  });
});

describe("restore", () => {
  it("puts the backup in place and keeps what was there under a name it says", () => {
    const journal = journalWith(3);
    const copy = beside(journal);
    asked(journal, "backup", copy);
    const newer = journalWith(5);
    copyFileSync(newer, journal);
    const { code, out, err } = asked(journal, "restore", copy);
    expect([code, err]).toEqual([0, ""]);
    expect(attemptsIn(journal)).toBe(3);
    const [, aside = ""] = /kept as (.+)\.\n$/.exec(out) ?? [];
    expect(attemptsIn(aside)).toBe(5);
    expect(attemptsIn(copy)).toBe(3);
    expect(readdirSync(path.dirname(journal)).filter((name) => /restoring|-wal|-shm/.test(name))).toEqual([]);
  });

  it("works where there is no journal yet, and over a damaged one", () => {
    const copy = journalWith(4);
    const absent = path.join(temporaryFolder(), "new", "journal.db");
    expect(asked(absent, "restore", copy)).toMatchObject({
      code: 0,
      out: `Restored 4 attempts from ${copy}.\n`,
    });
    expect(attemptsIn(absent)).toBe(4);
    const damaged = path.join(temporaryFolder(), "journal.db");
    writeFileSync(damaged, "This is a letter. ".repeat(100));
    const over = asked(damaged, "restore", copy);
    expect(over.code).toBe(0);
    expect(attemptsIn(damaged)).toBe(4);
    const [, aside = ""] = /kept as (.+)\.\n$/.exec(over.out) ?? [];
    expect(readFileSync(aside, "utf8")).toContain("This is a letter.");
  });

  it("refuses while a server has the journal open, and changes nothing", async () => {
    const journal = journalWith(3);
    const copy = journalWith(1);
    await server(journal);
    const { code, err } = asked(journal, "restore", copy);
    expect(code).toBe(2);
    expect(err).toMatch(
      /is open in a running Rungbook that listens on http:\/\/127\.0\.0\.1:\d+\. Use that one, or stop it first\./,
    );
    expect(attemptsIn(journal)).toBe(3);
    expect(readdirSync(path.dirname(journal)).filter((name) => /restor/.test(name))).toEqual([]);
  });

  it("refuses what is no journal, is damaged, or is from a newer version", () => {
    const journal = journalWith(2);
    const before = statSync(journal).mtimeMs;
    const letter = beside(journal);
    writeFileSync(letter, "This is a letter. ".repeat(100));
    const other = path.join(temporaryFolder(), "other.db");
    const stranger = new Database(other);
    stranger.exec("CREATE TABLE recipes (name TEXT)");
    stranger.close();
    const newer = journalWith(1);
    const client = new Database(newer);
    client.exec(
      "INSERT INTO __drizzle_migrations (hash, created_at) SELECT 'x', 9e12 FROM (VALUES (1),(2),(3))",
    );
    client.pragma(
      `user_version = ${client.prepare("SELECT count(*) FROM __drizzle_migrations").pluck().get()}`,
    );
    client.close();
    const cases: [string, RegExp][] = [
      [letter, /not a journal/],
      [other, /database of another program/],
      [newer, /newer version/],
      [path.join(temporaryFolder(), "none.db"), /There is no backup at/],
      [journal, /the journal itself/],
    ];
    for (const [file, words] of cases) {
      const { code, err } = asked(journal, "restore", file);
      expect(code, file).toBe(2);
      expect(err).toMatch(words);
      expect(err.trim().split("\n")).toHaveLength(1);
    }
    expect(attemptsIn(journal)).toBe(2);
    expect(statSync(journal).mtimeMs).toBe(before);
  });
});

describe("export and import", () => {
  it("carry a journal to another machine", () => {
    const journal = journalWith(3);
    const file = path.join(temporaryFolder(), "journal.json");
    expect(asked(journal, "export", file)).toMatchObject({ code: 0 });
    const other = path.join(temporaryFolder(), "new", "journal.db");
    expect(asked(other, "import", file)).toEqual({
      code: 0,
      out: "8 added, 0 updated, 1 unchanged.\n",
      err: "",
    });
    expect(asked(other, "import", file).out).toBe("0 added, 0 updated, 9 unchanged.\n");
    expect(attemptsIn(other)).toBe(3);
  });

  it("refuse in one line to write over a file and to read what is no export", () => {
    const journal = journalWith(1);
    const file = path.join(temporaryFolder(), "letter.json");
    writeFileSync(file, "This is a letter.");
    for (const command of ["export", "import"]) {
      const { code, out, err } = asked(journal, command, file);
      expect([code, out]).toEqual([2, ""]);
      expect(err.trim().split("\n")).toHaveLength(1);
    }
    expect(readFileSync(file, "utf8")).toBe("This is a letter.");
  });
});
