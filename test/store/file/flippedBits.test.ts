import { readFileSync, writeFileSync } from "node:fs";
import path from "node:path";
import Database from "better-sqlite3";
import { describe, expect, it } from "vitest";
import { boardActions } from "../../../server/actions/parts.ts";
import { seededRandom } from "../../../server/numerics/seededRandom.ts";
import type { Journal } from "../../../server/store/file/journal.ts";
import { faultsOfFile } from "../../../server/store/file/journalFile.ts";
import { freshJournal, temporaryFolder, theInstant } from "../../support/bench.ts";
import { madeJpeg } from "../../support/madePictures.ts";
import { fill } from "./keptJournals.ts";

/** Adds to a filled journal what it has of no other table yet. */
function fillTheRest(journal: Journal): void {
  const { attempts, boards, builds, captureSensors, importMappings, keptAnswers, pictures, traces } = journal;
  const [build] = builds.all();
  const [attempt] = attempts.all();
  if (build === undefined || attempt === undefined) throw new Error("There is nothing to add to.");
  const kept = { id: journal.newId(theInstant), createdAt: theInstant, updatedAt: theInstant, version: 1 };
  const image = madeJpeg();
  pictures.put(kept, {
    ...{ buildId: build.id, mountId: null, attemptId: null, caption: "From the left" },
    ...{ type: "image/jpeg", widthPx: 640, heightPx: 480, sizeBytes: image.length },
  });
  pictures.keepImage(kept.id, image);
  const step = { list: "boards", thingId: kept.id, before: null, left: "plain" };
  journal.merges.keep({ id: journal.newId(theInstant), at: theInstant, added: 1, updated: 0 }, [step]);
  boardActions.edit(boards.all()[0]?.id ?? "", { note: "lent" }, null, { journal, now: theInstant });
  journal.writeUpWords.keep({
    ...{
      builds: build.id,
      slot: "opening",
      words: "Quieter than it was.",
      replaced: "It was.",
      updatedAt: theInstant,
    },
  });
  keptAnswers.keep(build.id, { use: "benchmark", goal: "clock" }, { clockMhz: 4825, chance: 0.95 });
  journal.answeredPosts.keep(
    { key: "k-1", address: "/api/chips", bodyHash: "a1b2", status: 201, answer: '{"name":"Wren 6"}' },
    theInstant,
  );
  importMappings.keep("clock;volt", { clock: "clockMhz" }, theInstant);
  traces.keepMatches(
    ["t", "die"],
    [{ column: "die", channel: "temperature", unit: "°C" } as never],
    theInstant,
  );
  captureSensors.keep([{ sensor: "die/temp1", channel: "temperature" } as never], true, theInstant);
  attempts.beat(attempt.id, {
    ...{ from: "machine", seq: 4, elapsedS: 300, at: theInstant, tempC: 71, powerW: 120.5 },
    ...{ loadVoltageMv: 1180, clockMhz: 4800, correctedErrors: { cache: 1 }, bootId: "b-1" },
  });
}

function filledFile(): string {
  const journal = freshJournal();
  journal.writeNow(() => {
    fill(journal);
    fillTheRest(journal);
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
