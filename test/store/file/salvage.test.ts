import { readdirSync, readFileSync, truncateSync } from "node:fs";
import path from "node:path";
import Database from "better-sqlite3";
import { describe, expect, it } from "vitest";
import { wholeJournalText } from "../../../server/answers/wholeJournal.ts";
import { openJournal } from "../../../server/store/file/journal.ts";
import { salvaged } from "../../../server/store/file/salvage.ts";
import { migrations, smallWorld, testServer, theInstant } from "../../support/bench.ts";
import { spoiledFile } from "../../support/spoiledFile.ts";
import { tracedWorld } from "../../support/tracedWorld.ts";

const options = { migrations, randomBytes: (count: number) => new Uint8Array(count).fill(7) };
const attempts = 200;

/** A closed journal file with many attempts, each of them edited once. */
async function filledFile(): Promise<string> {
  const server = await testServer();
  const { cupboard, frame, heavy } = await smallWorld(server);
  for (let n = 0; n < attempts; n++) {
    const draft = { workloadId: heavy, clockMhz: 4000 + n, voltageMv: 1200, outcome: "pass", durationS: 900 };
    const { body } = await server.send("POST", `/api/builds/${n % 2 ? cupboard : frame}/attempts`, draft);
    if (n % 10 === 0) await server.send("PATCH", `/api/attempts/${body.id}`, { note: `run ${n}` });
  }
  server.journal.close();
  return server.journal.file;
}

/** What is saved of a file, taken into a fresh journal as anybody would. */
async function savedOf(file: string) {
  const { journal, lost, close } = salvaged(file, options);
  const document = JSON.parse([...wholeJournalText(journal, theInstant)].join(""));
  close();
  const server = await testServer();
  const { status, body } = await server.send("POST", "/api/import", document);
  return { server, status, body, lost, document };
}

describe("salvaged(file)", () => {
  it("saves every attempt but those on damaged pages, and names these", async () => {
    const file = await filledFile();
    const { server, status, lost, document } = await savedOf(spoiledFile(file, "attempts", [2, 3]));
    expect(status).toBe(200);
    const [, words = ""] = /^(\d+) of attempts could not be read: /.exec(lost[0] ?? "") ?? [];
    const gone = Number(words);
    expect(gone).toBeGreaterThan(10);
    expect(gone).toBeLessThan(60);
    expect(server.journal.attempts.count()).toBe(attempts - gone);
    expect(document.attempts).toHaveLength(attempts - gone);
    expect(lost[0]).toMatch(/: [0-9a-f]{8}-[0-9a-f-]{27}, /);
    expect(server.journal.faults()).toEqual([]);
  });

  it("does so too where an index is damaged as well, and where the end of the file is missing", async () => {
    const file = await filledFile();
    const twice = spoiledFile(spoiledFile(file, "attempts", [2]), "sqlite_autoindex_attempts_1", [0, 1]);
    const first = await savedOf(twice);
    expect(first.status).toBe(200);
    expect(first.server.journal.attempts.count()).toBeGreaterThan(attempts - 40);
    const short = spoiledFile(file, "attempts", []);
    truncateSync(short, readFileSync(short).length - 4096 * 8);
    const second = await savedOf(short);
    expect(second.status).toBe(200);
    expect(second.lost.length).toBeGreaterThan(0);
    expect(second.server.journal.attempts.count()).toBeGreaterThan(attempts / 2);
  });

  it("finds what lies between two damaged pages of attempts that no index tells of", async () => {
    const file = await filledFile();
    const client = new Database(file, { readonly: true });
    const leaves = client.prepare("SELECT count(*) FROM dbstat WHERE name = ? AND pagetype = 'leaf'").pluck();
    const lastOf = (name: string): number => (leaves.get(name) as number) - 1;
    const indexes = client
      .prepare("SELECT name FROM sqlite_schema WHERE type = 'index' AND tbl_name = 'attempts'")
      .pluck()
      .all() as string[];
    const ends = ["attempts", ...indexes].map((name) => [name, lastOf(name)] as const);
    client.close();
    const spoiled = ends.reduce(
      (from, [name, last]) => spoiledFile(from, name, name === "attempts" ? [1, last - 1] : [0, last]),
      file,
    );
    const { status, server } = await savedOf(spoiled);
    expect(status).toBe(200);
    expect(server.journal.attempts.count()).toBeGreaterThan(attempts - 60);
  });

  it("puts something in the place of a lost chip or load, which gives way to the real one", async () => {
    const file = await filledFile();
    const { server, status, lost } = await savedOf(spoiledFile(file, "chips", [0]));
    expect(status).toBe(200);
    expect(lost).toEqual([
      expect.stringMatching(/^1 of chips could not be read/),
      expect.stringMatching(/^A chip .* could not be read; something in its place/),
    ]);
    expect(server.journal.attempts.count()).toBe(attempts);
    expect(server.journal.chips.all()[0]?.name).toMatch(/^A chip that could not be read/);
    const whole = salvaged(file, options);
    const real = JSON.parse([...wholeJournalText(whole.journal, theInstant)].join(""));
    whole.close();
    expect((await server.send("POST", "/api/import", real)).status).toBe(200);
    expect(server.journal.chips.all().map(({ name }) => name)).toEqual(["Tern 8"]);
  });

  it("leaves out a trace of which a chunk has changed, and says that once", async () => {
    const { journal, attemptId } = await tracedWorld();
    const samples = {
      channels: [{ channel: "temperature", unit: "°C" }],
      t: [0, 1, 2],
      values: [[40, 41, 42]],
    };
    journal.writeNow(() => journal.traces.append(attemptId, samples, null, theInstant));
    journal.close();
    const spoiler = new Database(journal.file);
    spoiler.exec("UPDATE trace_chunks SET packed = zeroblob(40)");
    spoiler.close();
    const saved = salvaged(journal.file, options);
    const left = ["traces", "trace_channels", "trace_chunks", "trace_overviews"].map((table) =>
      saved.journal.db.$client.prepare(`SELECT count(*) FROM ${table}`).pluck().get(),
    );
    const { lost, close } = saved;
    close();
    expect(lost).toEqual([`The trace of the attempt ${attemptId} could not be read whole and was left out.`]);
    expect(left).toEqual([0, 0, 0, 0]);
  });

  it("saves all of a whole file and says nothing was lost", async () => {
    const { server, lost } = await savedOf(await filledFile());
    expect(lost).toEqual([]);
    expect(server.journal.attempts.count()).toBe(attempts);
    const { builds, attempts: kept } = server.journal;
    const edited = builds.all().reduce((sum, { id }) => sum + kept.told(id).size, 0);
    expect(edited).toBe(attempts / 10);
  });

  it("is what a server answers of its own damaged journal, with what could not be read in the head", async () => {
    const file = spoiledFile(await filledFile(), "attempts", [3, 4]);
    const journal = openJournal(file, options);
    const { send } = await testServer(journal);
    for (const { id } of journal.builds.all()) await send("GET", `/api/builds/${id}/attempts?limit=500`);
    expect(journal.stopped()?.because).toBe("damaged");
    const { status, body } = await send("GET", "/api/export");
    expect(status).toBe(200);
    expect(body.notRead).toMatch(/^\d+ of attempts could not be read: /);
    expect(body.attempts.length).toBeGreaterThan(attempts / 2);
    const other = await testServer();
    expect((await other.send("POST", "/api/import", body)).status).toBe(200);
    expect(other.journal.attempts.count()).toBe(body.attempts.length);
    expect(readdirSync(path.dirname(file)).filter((name) => name.includes("download"))).toEqual([]);
    journal.close();
  });

  it("is gone on with where the damage is only met midway, and what could not be read is said at the end", async () => {
    const file = spoiledFile(await filledFile(), "attempts", [5, 6]);
    const journal = openJournal(file, options);
    const { send } = await testServer(journal);
    expect(journal.stopped()).toBe(null);
    const { status, body } = await send("GET", "/api/export");
    expect([status, journal.stopped()?.because]).toEqual([200, "damaged"]);
    expect(body.notRead).toMatch(/^\d+ of attempts could not be read: /);
    const ids = new Set(body.attempts.map(({ id }: { id: string }) => id));
    expect(ids.size).toBe(body.attempts.length);
    const lost = Number(/^\d+/.exec(body.notRead)?.[0]);
    expect(ids.size + lost).toBe(attempts);
    const other = await testServer();
    expect((await other.send("POST", "/api/import", body)).status).toBe(200);
    expect(other.journal.attempts.count()).toBe(ids.size);
    expect(readdirSync(path.dirname(file)).filter((name) => name.includes("download"))).toEqual([]);
    journal.close();
  });

  it("is what a build's attempts as CSV go on with, up to a last line that says what could not be read", async () => {
    const file = spoiledFile(await filledFile(), "attempts", [3, 4]);
    const journal = openJournal(file, options);
    const { send } = await testServer(journal);
    const other = await testServer();
    const kept = new Set<string>();
    for (const { id, name } of journal.builds.all()) {
      const { status, body } = await send("GET", `/api/builds/${id}/attempts.csv`);
      expect(status).toBe(200);
      const lines = (body as string).trimEnd().split("\r\n");
      expect(lines.at(-1)).toMatch(/^,+"Not in this file: \d+ of attempts could not be read: [0-9a-f]{8}-/);
      expect(new Set(lines.map((line) => line.split(",").length > 20))).toEqual(new Set([true]));
      const ids = lines.slice(1, -1).map((line) => line.split(",")[0] as string);
      for (const one of ids) kept.add(one);
      const world = await smallWorld(other);
      await other.send("PATCH", `/api/builds/${world.frame}`, { name: `${name} there` });
      const text = (body as string).replaceAll(`,${name},`, `,${name} there,`);
      const taken = await other.send("POST", `/api/builds/${world.frame}/attempts.csv`, text, {
        "content-type": "text/csv",
      });
      expect([taken.status, taken.body.added]).toEqual([201, ids.length]);
    }
    const [lost] = (await send("GET", "/api/export")).body.notRead.match(/^\d+/) as [string];
    expect(kept.size).toBe(attempts - Number(lost));
    const left = () => readdirSync(path.dirname(file)).filter((name) => name.includes("download"));
    await expect.poll(left).toEqual([]);
    journal.close();
  });
});
