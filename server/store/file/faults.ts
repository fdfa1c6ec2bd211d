import type Database from "better-sqlite3";
import { isSchemaSealed, type Seal, sealsIn, teachChecksums, unsealedRows } from "../rows/checksums.ts";
import { isNamedByStanding, referredLists } from "../rows/referrers.ts";
import { bucketsIn } from "../traces/overviewBlob.ts";
import { type OverviewLevel, rowsPerTraceChunk } from "../traces/tracePacking.ts";
import { applicationId, schemasDone } from "./examination.ts";
import { type FoundRow, rowWords } from "./rowWords.ts";

/** Sentences on what is wrong with an open journal, each naming the thing; empty when it is whole. Reads all of it. */
export function faultsIn(client: Database.Database): string[] {
  teachChecksums(client);
  return [brokenPages, orphans, changedSchema, changedRows, wronglyDeleted, wrongTraces].flatMap((look) =>
    found(look, client),
  );
}

/** The first schema had none. */
const hasTraces = (client: Database.Database): boolean =>
  client.prepare("SELECT 1 FROM sqlite_schema WHERE name = 'traces'").get() !== undefined;

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

/** Rows that do not hold what was written, in a file whose tables have checksums. */
const changedRows = (client: Database.Database): string[] =>
  sealsIn(client).flatMap((seal) =>
    found(
      (client) => rowsChanged(client, seal).map((words) => `${words} does not hold what was written.`),
      client,
    ),
  );

/** In words, each row of a table that is not what its checksum says. */
export const rowsChanged = (client: Database.Database, seal: Seal): string[] =>
  (client.prepare(unsealedRows(seal)).all() as FoundRow[]).map((row) => rowWords(seal.table, row, client));

function changedSchema(client: Database.Database): string[] {
  if (!isSchemaSealed(client)) return ["The description of the tables in the file is not what was written."];
  const marked = Math.abs(client.pragma("user_version", { simple: true }) as number);
  const isMarked = client.pragma("application_id", { simple: true }) === applicationId;
  return isMarked && marked !== schemasDone(client)
    ? ["The header of the file does not say rightly which version wrote it."]
    : [];
}

const wrongTraces = (client: Database.Database): string[] =>
  hasTraces(client) ? [wronglyTraced, traceRowsGone].flatMap((look) => found(look, client)) : [];

const wronglyTraced = (client: Database.Database): string[] =>
  (
    client
      .prepare("SELECT id FROM attempts a WHERE traced <> (id IN (SELECT attempt_id FROM traces))")
      .pluck()
      .all() as string[]
  ).map((id) => `The attempt ${id} does not say rightly whether it has a trace.`);

/** What a trace says of itself and has no rows for: an overview that counts readings needs the chunk they are in. */
const traceRowsGone = (client: Database.Database): string[] =>
  [
    ...(client.prepare(overviewsGone).all(JSON.stringify(levelsOfEveryTrace)) as FoundRow[]).map((row) =>
      rowWords("trace_overviews", row, client),
    ),
    ...chunksGone(client).map((row) => rowWords("trace_chunks", row, client)),
  ].map((words) => `${words} is gone.`);

/** The overview of 512 rows came later; a window does without it. */
const levelsOfEveryTrace: readonly OverviewLevel[] = [256, rowsPerTraceChunk];

const overviewsGone = `SELECT c.id AS channel_id, l.value AS level FROM trace_channels c, json_each(?) l
  WHERE NOT EXISTS (SELECT 1 FROM trace_overviews o WHERE o.channel_id = c.id AND o.level = l.value)`;

function chunksGone(client: Database.Database): FoundRow[] {
  const overviews = client
    .prepare("SELECT channel_id, buckets FROM trace_overviews WHERE level = ?")
    .raw()
    .all(rowsPerTraceChunk) as [number, Buffer][];
  const chunksOf = client.prepare("SELECT chunk FROM trace_chunks WHERE channel_id = ?").pluck();
  return overviews.flatMap(([channel_id, buckets]) => {
    const there = new Set(chunksOf.all(channel_id));
    return [...readingsPerChunk(buckets).entries()]
      .filter(([chunk, readings]) => readings > 0 && !there.has(chunk))
      .map(([chunk]) => ({ channel_id, chunk }));
  });
}

/** None where the overview itself cannot be read, which its checksum tells. */
function readingsPerChunk(buckets: Buffer): Uint32Array {
  try {
    return bucketsIn(buckets).count;
  } catch {
    return new Uint32Array(0);
  }
}

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
