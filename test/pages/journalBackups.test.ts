import { mkdirSync, readdirSync, readFileSync, rmSync, writeFileSync } from "node:fs";
import path from "node:path";
import Database from "better-sqlite3";
import { describe, expect, it } from "vitest";
import { openJournal } from "../../server/store/file/journal.ts";
import { migrations, smallWorld, temporaryFolder, testServer } from "../support/bench.ts";
import { postForm } from "../support/forms.ts";
import { spoiledFile } from "../support/spoiledFile.ts";

const draft = { clockMhz: 4600, voltageMv: 1200, outcome: "pass", durationS: 900 };

describe("backups on /journal", () => {
  it("are listed with age and size, looked over and put in place, and what was there is kept", async () => {
    const server = await testServer();
    const { cupboard, heavy } = await smallWorld(server);
    const attempt = { ...draft, workloadId: heavy };
    await server.send("POST", `/api/builds/${cupboard}/attempts`, attempt);
    const made = await postForm(server, "/journal/backups", {});
    expect(made.body).toContain("Backed up as journal-20310504-134200.db.");
    await server.send("POST", `/api/builds/${cupboard}/attempts`, {
      ...attempt,
      outcome: "running",
      durationS: null,
    });
    server.clock.pass(3 * 86_400);
    const { body } = await server.send("GET", "/journal");
    expect(body).toMatch(/2031-05-04T13:42:00.000Z.*KiB, 3 days old/s);
    expect(body).toContain("Of each of the last 7 days, 4 weeks and 12 months the newest backup is kept");
    expect(body).toContain(path.join(path.dirname(server.journal.file), "backups"));
    const address = "/journal/backups/journal-20310504-134200.db";
    expect((await server.send("GET", address)).body).toContain("journal-20310504-134200.db is whole.");
    const { body: done } = await postForm(server, `${address}/restoration`, {});
    const [, aside = ""] = /kept as ([^<]+)\.<\/p>/.exec(done) ?? [];
    expect(done).toContain("journal-20310504-134200.db is in place.");
    expect(server.journal.attempts.count()).toBe(1);
    expect((await server.send("POST", `/api/builds/${cupboard}/attempts`, attempt)).status).toBe(201);
    expect(server.journal.faults()).toEqual([]);
    const kept = openJournal(aside, { migrations: migrations, randomBytes: (n) => new Uint8Array(n) });
    expect([kept.stopped(), kept.attempts.count(), kept.faults()]).toEqual([null, 2, []]);
    kept.close();
    const left = readdirSync(path.dirname(server.journal.file)).filter((name) =>
      /restoring|unfinished/.test(name),
    );
    expect(left).toEqual([]);
  });

  it("are not made of a journal that does not hold what was written, and none is let go of for it", async () => {
    const server = await testServer();
    const { chip } = await smallWorld(server);
    const folder = path.join(path.dirname(server.journal.file), "backups");
    await postForm(server, "/journal/backups", {});
    const before = readdirSync(folder);
    const other = new Database(server.journal.file);
    other.prepare("UPDATE chips SET note = 'flipped' WHERE id = ?").run(chip);
    other.close();
    server.clock.pass(86_400);
    const { status, body } = await postForm(server, "/journal/backups", {});
    expect(status).toBe(409);
    expect(body).toMatch(/was not backed up: The chip Tern 8 .* does not hold what was written\./);
    expect(readdirSync(folder)).toEqual(before);
  });

  it("are refused in a sentence where one is damaged or not there, and the journal stays", async () => {
    const server = await testServer();
    const { cupboard, heavy } = await smallWorld(server);
    await server.send("POST", `/api/builds/${cupboard}/attempts`, { ...draft, workloadId: heavy });
    const { body: backup } = await server.send("POST", "/api/backups");
    const file = path.join(path.dirname(server.journal.file), "backups", backup.name);
    const bytes = readFileSync(file);
    writeFileSync(file, bytes.subarray(0, bytes.length - 8192));
    expect((await server.send("GET", `/journal/backups/${backup.name}`)).body).toContain(
      "is damaged and cannot be put in place",
    );
    const refused = await server.send("PUT", `/api/backups/${backup.name}/restoration`);
    expect([refused.status, refused.body.error.message]).toEqual([
      400,
      expect.stringContaining("cannot be restored: The end of"),
    ]);
    rmSync(file);
    expect((await server.send("PUT", `/api/backups/${backup.name}/restoration`)).status).toBe(404);
    expect((await server.send("GET", "/api/backups/..%2Fjournal.db/faults")).status).toBe(404);
    expect(server.journal.attempts.count()).toBe(1);
  });

  it("bring back a damaged journal while the server runs", async () => {
    const first = await testServer();
    const { cupboard, heavy } = await smallWorld(first);
    for (let n = 0; n < 120; n++)
      await first.send("POST", `/api/builds/${cupboard}/attempts`, {
        ...draft,
        workloadId: heavy,
        clockMhz: 4000 + n,
      });
    const { body: backup } = await first.send("POST", "/api/backups");
    const backupFile = path.join(path.dirname(first.journal.file), "backups", backup.name);
    first.journal.close();
    const file = spoiledFile(first.journal.file, "attempts", [2, 3], "journal.db");
    const journal = openJournal(file, {
      migrations: migrations,
      randomBytes: (n) => new Uint8Array(n).fill(3),
    });
    const server = await testServer(journal);
    const spoiled = await server.send("GET", `/api/builds/${cupboard}/attempts?limit=200`);
    expect([spoiled.status, spoiled.body.error.code]).toEqual([503, "stopped"]);
    const { body: page, status } = await server.send("GET", "/journal");
    expect([status, page.includes("The journal is damaged.")]).toEqual([200, true]);
    const written = await server.send("POST", `/api/builds/${cupboard}/attempts`, {
      ...draft,
      workloadId: heavy,
    });
    expect([written.status, written.body.error.code]).toEqual([503, "stopped"]);
    const folderOfBackups = path.join(path.dirname(file), "backups");
    mkdirSync(folderOfBackups);
    writeFileSync(path.join(folderOfBackups, backup.name), readFileSync(backupFile));
    expect((await server.send("PUT", `/api/backups/${backup.name}/restoration`)).body).toMatchObject({
      attempts: 120,
    });
    expect((await server.send("GET", "/journal")).body).not.toContain("The journal is damaged.");
    expect(
      (await server.send("POST", `/api/builds/${cupboard}/attempts`, { ...draft, workloadId: heavy })).status,
    ).toBe(201);
    expect(journal.faults()).toEqual([]);
    journal.close();
  });

  it("go on without a log that is gone where its owner says so", async () => {
    const first = await testServer();
    await smallWorld(first);
    const file = path.join(temporaryFolder(), "journal.db");
    first.journal.settle();
    await first.send("POST", "/api/boards", { name: "Mole" });
    writeFileSync(file, readFileSync(first.journal.file));
    const journal = openJournal(file, {
      migrations: migrations,
      randomBytes: (n) => new Uint8Array(n).fill(3),
    });
    const server = await testServer(journal);
    expect((await server.send("GET", "/parts")).body).toContain("journal.db-wal, is gone");
    expect((await server.send("POST", "/api/boards", { name: "Pier" })).status).toBe(503);
    expect((await server.send("GET", "/journal")).body).toContain("Go on without it");
    await postForm(server, "/journal/without-log", {});
    expect((await server.send("POST", "/api/boards", { name: "Pier" })).status).toBe(201);
    expect((await server.send("GET", "/journal")).body).not.toContain("Go on without it");
    journal.close();
  });
});
