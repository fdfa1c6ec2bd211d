import { execFileSync, spawn, spawnSync } from "node:child_process";
import {
  chmodSync,
  copyFileSync,
  existsSync,
  mkdirSync,
  readdirSync,
  readFileSync,
  statSync,
  writeFileSync,
} from "node:fs";
import path from "node:path";
import { isDeepStrictEqual } from "node:util";
import Database from "better-sqlite3";
import { afterEach, describe, expect, it } from "vitest";
import { recordAttempt } from "../server/actions/attempts.ts";
import { addBuild } from "../server/actions/builds.ts";
import { boardActions, chipActions, workloadActions } from "../server/actions/parts.ts";
import { faultsOfFile } from "../server/store/file/journalFile.ts";
import { freshJournal, temporaryFolder, theInstant } from "./support/bench.ts";
import { olderJournal } from "./support/olderJournal.ts";
import { program, started } from "./support/program.ts";

const isRoot = process.getuid?.() === 0;
const nobody = 65534;

function asked(words: readonly string[], options: { uid?: number } = {}) {
  const { status, stdout, stderr } = spawnSync(process.execPath, [program, ...words], {
    encoding: "utf8",
    env: { PATH: process.env.PATH },
    ...options,
  });
  return { code: status, out: stdout, err: stderr };
}

/** A closed journal with a build and so many attempts, their notes as long as asked for. */
function journalWith(
  attempts: number,
  noteLength = 0,
  file = path.join(temporaryFolder(), "journal.db"),
): string {
  const journal = freshJournal(file);
  journal.writeNow(() => {
    const at = { journal, now: theInstant };
    const chip = chipActions.add({ name: "Tern 8", kind: "cpu", tempLimitC: 95 }, at);
    const board = boardActions.add({ name: "Quay S" }, at);
    const load = workloadActions.add({ name: "Stacking", kind: "all-core" }, at);
    const build = addBuild({ name: "Cupboard", chipId: chip.id, boardId: board.id }, at);
    const pass = { workloadId: load.id, voltageMv: 1200, outcome: "pass", durationS: 900 } as const;
    for (let n = 0; n < attempts; n++)
      recordAttempt(build.id, { ...pass, clockMhz: 4000 + n / 10, note: "x".repeat(noteLength) }, at);
  });
  journal.close();
  return file;
}

const post = async (address: string, body: object) =>
  (await fetch(address, {
    method: "POST",
    headers: { "content-type": "application/json" },
    body: JSON.stringify(body),
  })) as Response;

const stateOf = (folder: string) =>
  readdirSync(folder)
    .sort()
    .map((name) => [name, statSync(path.join(folder, name)).mtimeMs]);

/** The log is cut and stamped by the server a moment later: the folder as it is once nothing in it moves. */
const settledStateOf = async (folder: string) => {
  for (let last = stateOf(folder); ; ) {
    await new Promise((resolve) => setTimeout(resolve, 500));
    const now = stateOf(folder);
    if (isDeepStrictEqual(now, last)) return now;
    last = now;
  }
};

describe("a journal that a server has open", () => {
  it("is refused to a second server, a restore and an import, which say where the first listens; backup, check and export read it", async () => {
    const journal = journalWith(3);
    const folder = path.dirname(journal);
    const backup = path.join(temporaryFolder(), "backup.db");
    const first = started(["--journal", journal, "--port", "0"]);
    const address = await first.address;
    expect(asked(["backup", backup, "--journal", journal]).code).toBe(0);
    const document = path.join(temporaryFolder(), "journal.json");
    expect(asked(["export", document, "--journal", journal]).code).toBe(0);
    expect(asked(["check", "--journal", journal]).code).toBe(0);
    await expect.poll(() => statSync(`${journal}-wal`).size).toBe(0);
    const before = await settledStateOf(folder);
    for (const words of [
      ["--port", "0"],
      ["restore", backup],
      ["import", document],
    ]) {
      const { code, out, err } = asked([...words, "--journal", journal]);
      expect([code, out]).toEqual([2, ""]);
      expect(err).toBe(
        `The journal ${journal} is open in a running Rungbook that listens on ${address}. Use that one, or stop it first. Nothing was changed.\n`,
      );
    }
    expect(stateOf(folder)).toEqual(before);
    expect((await post(`${address}/api/boards`, { name: "Mole" })).status).toBe(201);
    first.child.kill("SIGKILL");
    await first.ended;
    const second = started(["--journal", journal, "--port", "0"]);
    expect((await (await fetch(`${await second.address}/api/boards`)).json()).items).toHaveLength(2);
  });

  it("is one whole file within seconds of the last write, and once the server has ended", async () => {
    const journal = journalWith(1);
    const server = started(["--journal", journal, "--port", "0"]);
    const address = await server.address;
    await post(`${address}/api/boards`, { name: "Mole" });
    const log = () => statSync(`${journal}-wal`).size;
    expect(log()).toBeGreaterThan(0);
    await expect.poll(log, { timeout: 30_000, interval: 250 }).toBe(0);
    const copy = path.join(temporaryFolder(), "copy.db");
    copyFileSync(journal, copy);
    expect(faultsOfFile(copy)).toEqual([]);
    const client = new Database(copy, { readonly: true });
    expect(client.prepare("SELECT count(*) AS n FROM boards").get()).toEqual({ n: 2 });
    client.close();
    await post(`${address}/api/boards`, { name: "Pier" });
    server.child.kill("SIGTERM");
    await server.ended;
    expect(
      readdirSync(path.dirname(journal))
        .filter((name) => name !== "backups")
        .sort(),
    ).toEqual(["journal.db", "journal.db.lock"]);
    expect(faultsOfFile(journal)).toEqual([]);
  });
});

describe("a place that cannot be written", () => {
  it.runIf(isRoot)("is served to read, and says so; check, backup and export read it too", async () => {
    const source = journalWith(2);
    const folder = temporaryFolder();
    const journal = path.join(folder, "journal.db");
    copyFileSync(source, journal);
    chmodSync(journal, 0o444);
    chmodSync(folder, 0o555);
    const before = stateOf(folder);
    const server = started(["--journal", journal, "--port", "0"], { uid: nobody });
    const address = await server.address;
    const health = await (await fetch(`${address}/api/health`)).json();
    expect(health.stopped).toMatchObject({
      because: "read-only",
      words: expect.stringContaining(`${journal} or its folder may not be written`),
    });
    const refused = await post(`${address}/api/boards`, { name: "Mole" });
    expect([refused.status, (await refused.json()).error.code]).toEqual([503, "stopped"]);
    expect(await (await fetch(`${address}/builds`)).text()).toContain("may not be written");
    server.child.kill("SIGTERM");
    const { code, err } = await server.ended;
    expect([code, err]).toEqual([0, `${health.stopped.words}\n`]);
    const elsewhere = temporaryFolder();
    chmodSync(elsewhere, 0o777);
    expect(asked(["check", "--journal", journal], { uid: nobody })).toMatchObject({ code: 0, err: "" });
    for (const command of ["backup", "export"])
      expect(
        asked([command, path.join(elsewhere, command), "--journal", journal], { uid: nobody }),
      ).toMatchObject({ code: 0 });
    expect(faultsOfFile(path.join(elsewhere, "backup"))).toEqual([]);
    expect(stateOf(folder)).toEqual(before);
  });

  it.runIf(isRoot)("is named with what to do: a folder, no permission, too many open files", async () => {
    const folder = temporaryFolder();
    const hidden = path.join(folder, "hidden.db");
    writeFileSync(hidden, readFileSync(journalWith(1)));
    chmodSync(hidden, 0o000);
    chmodSync(folder, 0o755);
    const cases: [string[], { uid?: number }, RegExp][] = [
      [["--journal", folder], {}, new RegExp(`^${folder} is a folder; give the name of a file\\.`)],
      [
        ["--journal", hidden],
        { uid: nobody },
        new RegExp(`^${hidden} may not be opened: you have no permission`),
      ],
      [
        ["--journal", path.join(folder, "sub", "new.db")],
        { uid: nobody },
        /new\.db may not be opened: you have no permission/,
      ],
      [["--journal", path.join(hidden, "new.db")], {}, /A part of the path .*new\.db is a file/],
    ];
    for (const [words, options, said] of cases) {
      const { code, out, err } = asked([...words, "--port", "0"], options);
      expect([code, out]).toEqual([2, ""]);
      expect(err).toMatch(said);
      expect(err.trim().split("\n")).toHaveLength(1);
    }
    expect(readdirSync(folder)).toEqual(["hidden.db"]);
    const withFew = (handles: number) => {
      const crowded = path.join(temporaryFolder(), "journal.db");
      const started = `exec "${process.execPath}" "${program}" --journal "${crowded}" --port 0`;
      const { status, stderr } = spawnSync("sh", ["-c", `ulimit -n ${handles}; ${started}`], {
        encoding: "utf8",
        timeout: 20_000,
      });
      return { status, stderr, crowded };
    };
    // Which handle is the one too many depends on the version of Node; with some more it starts, and is ended.
    const told = [20, 21, 22].map(withFew).filter(({ status }) => status !== null);
    for (const { status, stderr, crowded } of told) {
      expect(status).toBe(2);
      expect(stderr).toMatch(/too many (files open|open files)/);
      expect(readdirSync(path.dirname(crowded))).toEqual([]);
    }
    expect(told.map(({ stderr }) => stderr).join("")).toMatch(
      /journal\.db could not be opened: this program has too many files open\. Raise the limit of open files/,
    );
  });
});

const mounted: string[] = [];
afterEach(() => {
  for (const folder of mounted.splice(0)) spawnSync("umount", ["-l", folder]);
});

/** A disk of so many KiB; null where none may be mounted. */
function smallDisk(kib: number): string | null {
  const folder = temporaryFolder();
  if (spawnSync("mount", ["-t", "tmpfs", "-o", `size=${kib}k`, "none", folder]).status !== 0) return null;
  mounted.push(folder);
  return folder;
}

const mayMount = isRoot && process.platform === "linux" && spawnSync("unshare", ["-m", "true"]).status === 0;

describe("a full disk", () => {
  it.runIf(mayMount)(
    "is said for a new journal, a backup, an export and an update, and nothing is left behind",
    () => {
      const tiny = smallDisk(64);
      if (tiny === null) return;
      const fresh = asked(["--journal", path.join(tiny, "records", "journal.db"), "--port", "0"]);
      expect([fresh.code, fresh.err]).toEqual([
        2,
        `The disk is full, so ${path.join(tiny, "records", "journal.db")} could not be written; nothing was left behind. Make room, then try again.\n`,
      ]);
      expect(readdirSync(tiny)).toEqual([]);
      const journal = journalWith(300, 400);
      for (const command of ["backup", "export"]) {
        const { code, err } = asked([command, path.join(tiny, "copy"), "--journal", journal]);
        expect([code, err]).toEqual([
          2,
          expect.stringMatching(/^The disk is full, so .*copy could not be written/),
        ]);
        expect(readdirSync(tiny)).toEqual([]);
      }
      const older = olderJournal(5, { attempts: 300, noteLength: 400 });
      const close = smallDisk(Math.ceil((statSync(older).size * 1.4) / 1024) + 40);
      const moved = path.join(close as string, "journal.db");
      copyFileSync(older, moved);
      const { code, err } = asked(["--journal", moved, "--port", "0"]);
      expect([code, err]).toEqual([
        2,
        expect.stringMatching(/^The disk is full, so .* could not be written/),
      ]);
      const files = readdirSync(close as string, { recursive: true }) as string[];
      expect(files.filter((name) => /unfinished|-wal|-shm|before/.test(name))).toEqual([]);
      expect(faultsOfFile(moved)).toEqual([]);
      const client = new Database(moved, { readonly: true });
      expect(client.prepare("SELECT count(*) FROM __drizzle_migrations").pluck().get()).toBe(5);
      expect(client.prepare("SELECT count(*) FROM attempts").pluck().get()).toBe(300);
      client.close();
    },
  );

  it.runIf(mayMount)(
    "is said for a log that is read in, nothing of it is kept, and the server goes on",
    async () => {
      const disk = smallDisk(1024);
      if (disk === null) return;
      const journal = journalWith(1, 0, path.join(disk, "journal.db"));
      const server = started(["--journal", journal, "--port", "0"]);
      const address = await server.address;
      const [build] = (await (await fetch(`${address}/api/builds`)).json()).items;
      const [attempt] = (await (await fetch(`${address}/api/builds/${build.id}/attempts`)).json()).items;
      const rows = Array.from(
        { length: 200_000 },
        (_, row) =>
          `${row},${(60 + 20 * Math.sin(row * row)).toFixed(5)},${(90 * Math.cos(row * row)).toFixed(5)}`,
      );
      const log = `Time (s),Temperature (°C),Power (W)\n${rows.join("\n")}\n`;
      const sent = await fetch(`${address}/api/attempts/${attempt.id}/trace`, {
        method: "POST",
        headers: { "content-type": "text/csv" },
        body: log,
      });
      expect([sent.status, (await sent.json()).error?.code]).toEqual([507, "full"]);
      expect((await fetch(`${address}/api/attempts/${attempt.id}/trace?channel=temperature`)).status).toBe(
        404,
      );
      expect((await post(`${address}/api/boards`, { name: "Mole" })).status).toBe(201);
      server.child.kill("SIGTERM");
      await server.ended;
      expect(faultsOfFile(journal)).toEqual([]);
    },
  );
});

/** Starts the program and kills it after so long. */
async function killedAfter(ms: number, words: readonly string[]): Promise<void> {
  const child = spawn(process.execPath, [program, ...words], { stdio: "ignore" });
  const ended = new Promise((resolve) => child.once("exit", resolve));
  setTimeout(() => child.kill("SIGKILL"), ms);
  await ended;
}

/** How long the same takes where it is let be. */
function durationMs(work: () => void): number {
  const begun = Date.now();
  work();
  return Date.now() - begun;
}

const kills = 10;

describe("what is killed", () => {
  it("leaves no part of a backup under its name, and the next one clears away what there is", async () => {
    const journal = journalWith(3000, 2000);
    const folder = temporaryFolder();
    const whole = durationMs(() => asked(["backup", path.join(folder, "first.db"), "--journal", journal]));
    for (let n = 0; n < kills; n++) {
      const file = path.join(folder, "killed.db");
      await killedAfter(whole * (0.3 + (0.7 * n) / kills), ["backup", file, "--journal", journal]);
      if (existsSync(file)) {
        expect(faultsOfFile(file)).toEqual([]);
        execFileSync("rm", [file]);
      }
    }
    expect(asked(["backup", path.join(folder, "killed.db"), "--journal", journal]).code).toBe(0);
    expect(readdirSync(folder).sort()).toEqual(["first.db", "killed.db"]);
    expect(faultsOfFile(journal)).toEqual([]);
  }, 240_000);

  it("leaves an update to be done by the next start, with whole backups from before and nothing half made", async () => {
    const older = olderJournal(5, { attempts: 2000, noteLength: 1000 });
    const place = () => {
      const folder = path.join(temporaryFolder(), "records");
      mkdirSync(folder);
      copyFileSync(older, path.join(folder, "journal.db"));
      return folder;
    };
    const untouched = place();
    const whole = durationMs(() =>
      asked(["import", path.join(untouched, "none.json"), "--journal", path.join(untouched, "journal.db")]),
    );
    for (let n = 0; n < kills; n++) {
      const folder = place();
      const journal = path.join(folder, "journal.db");
      await killedAfter(whole * 1.5 + 100 * n, ["--journal", journal, "--port", "0"]);
      const server = started(["--journal", journal, "--port", "0"]);
      const health = await (await fetch(`${await server.address}/api/health`)).json();
      expect(health.stopped).toBeNull();
      server.child.kill("SIGTERM");
      await server.ended;
      expect(readdirSync(folder).sort()).toEqual(["backups", "journal.db", "journal.db.lock"]);
      const backups = readdirSync(path.join(folder, "backups"));
      expect(backups).toContain("journal-before-update-from-5.db");
      expect(backups.filter((name) => !/^journal-before-update-from-5(-1)?\.db$/.test(name))).toEqual([]);
      for (const name of backups) expect(faultsOfFile(path.join(folder, "backups", name))).toEqual([]);
      expect(faultsOfFile(journal)).toEqual([]);
    }
  }, 240_000);
});
