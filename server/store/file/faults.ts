import type Database from "better-sqlite3";
import { teachChecksums, unsealedAttempts, unsealedChunks } from "../rows/checksums.ts";
import { fromThousandths, toInstant } from "../rows/columns.ts";
import { isNamedByStanding, referredLists } from "../rows/referrers.ts";
import { rowsPerChunk } from "../traces/tracePacking.ts";

/** Sentences on what is wrong with an open journal, each naming the thing; empty when it is whole. Reads all of it. */
export function faultsIn(client: Database.Database): string[] {
  teachChecksums(client);
  return [brokenPages, orphans, changedAttempts, changedChunks, wronglyTraced, wronglyDeleted].flatMap(
    (look) => found(look, client),
  );
}

/** A look that meets a page which cannot be read says that, and the others go on. */
function found(look: (client: Database.Database) => string[], client: Database.Database): string[] {
  try {
    return look(client);
  } catch (error) {
    return [`The file is damaged: ${(error as Error).message}.`];
  }
}

function brokenPages(client: Database.Database): string[] {
  return (client.pragma("integrity_check") as { integrity_check: string }[])
    .map((row) => row.integrity_check)
    .filter((line) => line !== "ok");
}

const orphans = (client: Database.Database): string[] =>
  (client.pragma("foreign_key_check") as { table: string }[]).map(
    ({ table }) => `A row of ${table} belongs to nothing.`,
  );

type AttemptNamed = { id: string; clock_khz: number; voltage_uv: number; started_at: number };

/** A file from before there were checksums has none to compare. */
const hasChecksums = (client: Database.Database): boolean =>
  client.prepare("SELECT 1 FROM pragma_table_info('attempts') WHERE name = 'checksum'").get() !== undefined;

function changedAttempts(client: Database.Database): string[] {
  if (!hasChecksums(client)) return [];
  const changed = client.prepare(unsealedAttempts).all() as AttemptNamed[];
  return changed.map((row) => `The attempt ${nameOf(row)} does not hold what was written.`);
}

/** The very fields may be what changed, so none of them need make sense. */
function nameOf({ id, clock_khz, voltage_uv, started_at }: AttemptNamed): string {
  const at = Math.abs(started_at) < 8.64e15 ? ` of ${toInstant(started_at)}` : "";
  return `${id}${at} (${fromThousandths(clock_khz)} MHz at ${fromThousandths(voltage_uv) / 1000} V)`;
}

function changedChunks(client: Database.Database): string[] {
  if (!hasChecksums(client)) return [];
  const changed = client.prepare(unsealedChunks).all() as {
    attempt_id: string | null;
    channel: string | null;
    chunk: number;
  }[];
  return changed.map(
    ({ attempt_id, channel, chunk }) =>
      `The trace of the attempt ${attempt_id} does not hold what was written: ${channel}, from row ${chunk * rowsPerChunk + 1} on.`,
  );
}

const wronglyTraced = (client: Database.Database): string[] =>
  (
    client
      .prepare("SELECT id FROM attempts a WHERE traced <> (id IN (SELECT attempt_id FROM traces))")
      .pluck()
      .all() as string[]
  ).map((id) => `The attempt ${id} does not say rightly whether it has a trace.`);

/** Earlier versions let that happen; the next start brings them back. */
function wronglyDeleted(client: Database.Database): string[] {
  return referredLists.flatMap((list) =>
    (
      client
        .prepare(`SELECT id FROM "${list}" WHERE deleted_at IS NOT NULL AND ${isNamedByStanding(list)}`)
        .pluck()
        .all() as string[]
    ).map(
      (id) => `${id} of ${list} was deleted while something stands on it; the next start brings it back.`,
    ),
  );
}
