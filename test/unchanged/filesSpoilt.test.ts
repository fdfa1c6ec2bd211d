import { copyFileSync, readdirSync, readFileSync, truncateSync, writeFileSync } from "node:fs";
import path from "node:path";
import Database from "better-sqlite3";
import { expect, it } from "vitest";
import { openJournal } from "../../server/store/file/journal.ts";
import { faultsOfFile } from "../../server/store/file/journalFile.ts";
import { salvaged } from "../../server/store/file/salvage.ts";
import { spoiledLeaves } from "../support/spoiledLeaves.ts";
import { closedJournal, known, options, tellingOfFiles } from "./heldFiles.ts";
import { heldFolder } from "./heldJournal.ts";

/** Writes past the checksums, as a fault of the disk would. */
function changedFile(file: string, folder: string, ...statements: readonly string[]): string {
  const copy = path.join(folder, `changed${readdirSync(folder).length}.db`);
  copyFileSync(file, copy);
  const client = new Database(copy);
  client.pragma("foreign_keys = OFF");
  client.pragma("ignore_check_constraints = ON");
  for (const statement of statements) client.exec(statement);
  client.pragma("wal_checkpoint(TRUNCATE)");
  client.close();
  return copy;
}

function pagesSpoilt(file: string, folder: string, table: string, leaves: readonly number[]): string {
  const copy = path.join(folder, `pages${readdirSync(folder).length}.db`);
  writeFileSync(copy, spoiledLeaves(file, table, leaves));
  return copy;
}

it("journals that were spoilt are told of and saved as before", async () => {
  const file = closedJournal(60);
  const folder = heldFolder();
  const { tell, told } = tellingOfFiles();
  const savedToo = /^(many|a chunk changed|builds gone|mounts|pages|cut)/;
  const look = (asked: string, made: string): void => {
    tell(`${asked}: faults`, () => faultsOfFile(made));
    if (!savedToo.test(asked)) return;
    tell("  saved", () => {
      const { journal, lost, close } = salvaged(made, options);
      const counts = [
        journal.attempts.count(),
        journal.builds.count(),
        journal.chips.count(),
        journal.traces.attempts.count(),
        journal.faults().length,
      ];
      const names = [...journal.chips.all(), ...journal.builds.all(), ...journal.workloads.all()].map(
        ({ name }) => name,
      );
      close();
      return [counts, names, lost];
    });
  };
  look("whole", file);
  const changes: Readonly<Record<string, readonly string[]>> = {
    "attempts changed": ["UPDATE attempts SET note = 'odd' WHERE rowid IN (2, 5)"],
    "attempts changed beyond telling": [
      "UPDATE attempts SET started_at = 9e15, clock_khz = NULL, voltage_uv = NULL WHERE rowid = 3",
    ],
    "an attempt without a voltage": ["UPDATE attempts SET voltage_uv = NULL WHERE rowid = 4"],
    "many attempts changed": ["UPDATE attempts SET note = 'odd' WHERE rowid < 30"],
    "parts changed": ["chips", "boards", "workloads", "builds"].map(
      (table) => `UPDATE ${table} SET name = 'odd'`,
    ),
    "more changed": [
      "UPDATE mounts SET note = 'odd'",
      "UPDATE attempt_outputs SET output = 'odd'",
      "UPDATE build_states SET parts = '{}'",
    ],
    "a chunk changed": ["UPDATE trace_chunks SET packed = zeroblob(40) WHERE rowid = 1"],
    "an overview changed": ["UPDATE trace_overviews SET buckets = zeroblob(40) WHERE level = 512"],
    "a channel and a trace changed": [
      "UPDATE trace_channels SET unit = 'odd' WHERE place = 1",
      "UPDATE traces SET to_s = 7",
    ],
    "times missing": ["DELETE FROM trace_chunks WHERE chunk = 1"],
    "a chunk of the temperature missing": [
      "DELETE FROM trace_chunks WHERE chunk = 1 AND channel_id IN (SELECT id FROM trace_channels WHERE place = 1)",
    ],
    "wrongly traced": ["UPDATE attempts SET traced = 1 - traced WHERE rowid IN (1, 2)"],
    "a load deleted": ["UPDATE workloads SET deleted_at = 5 WHERE name = 'Stacking'"],
    "marked wrongly": [`PRAGMA user_version = ${known + 1}`],
    "marked fewer": [`PRAGMA user_version = ${known - 1}`],
    "a table more": ["CREATE TABLE odd (id)"],
    "chips gone": ["DELETE FROM chips"],
    "builds gone": ["DELETE FROM builds"],
    "loads and boards gone": ["DELETE FROM workloads", "DELETE FROM boards"],
    "mounts and states gone": ["DELETE FROM mounts", "DELETE FROM build_states"],
    "attempts gone": ["DELETE FROM attempts"],
    "all but attempts gone": [
      "DELETE FROM chips",
      "DELETE FROM builds",
      "DELETE FROM workloads",
      "DELETE FROM mounts",
      "DELETE FROM build_states",
    ],
  };
  for (const [name, statements] of Object.entries(changes))
    look(name, changedFile(file, folder, ...statements));
  look("an index gone", pagesSpoilt(file, folder, "sqlite_autoindex_attempts_1", [0]));
  look("the first page of attempts gone", pagesSpoilt(file, folder, "attempts", [0]));
  look("pages of attempts gone", pagesSpoilt(file, folder, "attempts", [1, -2]));
  look("the chips gone", pagesSpoilt(file, folder, "chips", [0]));
  look("pages of the trace gone", pagesSpoilt(file, folder, "trace_chunks", [0]));
  const cut = changedFile(file, folder);
  truncateSync(cut, readFileSync(cut).length - 3 * 4096);
  look("cut", cut);
  tell("cut, opened", () => openJournal(cut, options).close());
  await expect(told()).toMatchFileSnapshot("answers/filesSpoilt.txt");
});
