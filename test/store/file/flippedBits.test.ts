import { readFileSync, writeFileSync } from "node:fs";
import path from "node:path";
import Database from "better-sqlite3";
import { describe, expect, it } from "vitest";
import { seededRandom } from "../../../server/numerics/seededRandom.ts";
import { faultsOfFile } from "../../../server/store/file/journalFile.ts";
import { freshJournal, temporaryFolder, theInstant } from "../../support/bench.ts";
import { fill, fillTheRest } from "./keptJournals.ts";

function filledFile(): string {
  const journal = freshJournal();
  journal.writeNow(() => {
    fill(journal);
    fillTheRest(journal, theInstant);
  });
  journal.close();
  return journal.file;
}

const tablesIn = (client: Database.Database): string[] =>
  client
    .prepare(
      "SELECT name FROM sqlite_schema WHERE type = 'table' AND name NOT LIKE 'sqlite\\_%' ESCAPE '\\' ORDER BY 1",
    )
    .pluck()
    .all() as string[];

/** Everything that can be read of a file, but for what SQLite counts for itself; null where some of it cannot. */
function said(file: string): string | null {
  const client = new Database(file, { readonly: true });
  try {
    const schema = client
      .prepare("SELECT * FROM sqlite_schema WHERE name NOT LIKE 'sqlite\\_stat%' ESCAPE '\\'")
      .all();
    const rows = tablesIn(client).map((table) =>
      client.prepare(`SELECT rowid, * FROM "${table}"`).raw().all(),
    );
    return JSON.stringify([schema, rows, client.pragma("application_id"), client.pragma("user_version")]);
  } catch {
    return null;
  } finally {
    client.close();
  }
}

describe("a bit that flips in a journal's file", () => {
  it("is found wherever it changes anything that can be read, whatever the table", () => {
    const file = filledFile();
    expect(faultsOfFile(file)).toEqual([]);
    const client = new Database(file, { readonly: true });
    for (const table of tablesIn(client))
      expect(client.prepare(`SELECT count(*) FROM "${table}"`).pluck().get(), table).toBeGreaterThan(0);
    client.close();
    const [bytes, before] = [readFileSync(file), said(file)];
    const random = seededRandom(20310504);
    const copy = path.join(temporaryFolder(), "flipped.db");
    let changed = 0;
    for (let n = 0; changed < 400; n++) {
      const at = Math.floor(random.uniform() * bytes.length);
      const bit = 1 << Math.floor(random.uniform() * 8);
      bytes[at] = (bytes[at] as number) ^ bit;
      writeFileSync(copy, bytes);
      bytes[at] = (bytes[at] as number) ^ bit;
      if (said(copy) === before) continue;
      changed += 1;
      expect(faultsOfFile(copy), `bit ${bit} of byte ${at}`).not.toEqual([]);
      expect(n).toBeLessThan(8000);
    }
  }, 300_000);
});
