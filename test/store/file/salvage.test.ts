import { readFileSync, truncateSync, writeFileSync } from "node:fs";
import path from "node:path";
import Database from "better-sqlite3";
import { describe, expect, it } from "vitest";
import { wholeJournalText } from "../../../server/answers/wholeJournal.ts";
import { salvaged } from "../../../server/store/file/salvage.ts";
import { migrations, smallWorld, temporaryFolder, testServer, theInstant } from "../../support/bench.ts";

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

/** The file with some leaf pages of a table overwritten. */
function spoiled(file: string, table: string, leaves: readonly number[]): string {
  const client = new Database(file, { readonly: true });
  const pages = client
    .prepare("SELECT pageno FROM dbstat WHERE name = ? AND pagetype = 'leaf' ORDER BY path")
    .pluck()
    .all(table) as number[];
  client.close();
  const bytes = readFileSync(file);
  for (const leaf of leaves)
    bytes.fill(0xa5, ((pages[leaf] as number) - 1) * 4096, (pages[leaf] as number) * 4096);
  const copy = path.join(temporaryFolder(), "spoiled.db");
  writeFileSync(copy, bytes);
  return copy;
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
    const { server, status, lost, document } = await savedOf(spoiled(file, "attempts", [2, 3]));
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
    const twice = spoiled(spoiled(file, "attempts", [2]), "sqlite_autoindex_attempts_1", [0, 1]);
    const first = await savedOf(twice);
    expect(first.status).toBe(200);
    expect(first.server.journal.attempts.count()).toBeGreaterThan(attempts - 40);
    const short = spoiled(file, "attempts", []);
    truncateSync(short, readFileSync(short).length - 4096 * 8);
    const second = await savedOf(short);
    expect(second.status).toBe(200);
    expect(second.lost.length).toBeGreaterThan(0);
    expect(second.server.journal.attempts.count()).toBeGreaterThan(attempts / 2);
  });

  it("puts something in the place of a lost chip or load, which gives way to the real one", async () => {
    const file = await filledFile();
    const { server, status, lost } = await savedOf(spoiled(file, "chips", [0]));
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

  it("saves all of a whole file and says nothing was lost", async () => {
    const { server, lost } = await savedOf(await filledFile());
    expect(lost).toEqual([]);
    expect(server.journal.attempts.count()).toBe(attempts);
    expect(server.journal.attempts.edited().size).toBe(attempts / 10);
  });
});
