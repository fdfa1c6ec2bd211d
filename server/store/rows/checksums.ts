import { crc32 } from "node:zlib";
import type Database from "better-sqlite3";
import { getTableColumns } from "drizzle-orm";
import { attempts } from "./schema.ts";

/** How the rows of a table are sealed: the columns that its checksums cover, and the checksum of a row as SQL. */
export type Seal = Readonly<{ table: string; covers: readonly string[]; checksum: string }>;

/** An attempt's mount follows from its time and `traced` from its trace: both are written without the row's own edits. */
const derived: ReadonlySet<string> = new Set(["mount_id", "traced"]);

const attemptColumns = Object.values(getTableColumns(attempts))
  .map(({ name }) => name)
  .filter((name) => !derived.has(name) && name !== "checksum");

const fieldOf = (column: string): string =>
  column.replace(/_([a-z])/g, (_, letter: string) => letter.toUpperCase());
const attemptFields = attemptColumns.map(fieldOf);

/** CRC-32 of an attempt's row as it is to lie in the file. Any single bit that flips shows. */
export const checksumOfAttempt = (row: Readonly<Record<string, unknown>>): number =>
  checksumOfValues(
    attemptFields,
    attemptColumns.map((name) => row[name]),
  );

/** What is null is left out, so that a column that comes with a later version changes no checksum. */
function checksumOfValues(fields: readonly string[], values: readonly unknown[]): number {
  const held: unknown[] = [];
  values.forEach((value, at) => {
    if (value === null || value === undefined) return;
    held.push(fields[at], value instanceof Uint8Array ? crc32(value) : value);
  });
  return crc32(JSON.stringify(held));
}

/** CRC-32 of a chunk of a trace, begun from its place so that one in another's place shows too. */
export const checksumOfChunk = (chunk: number, packed: Uint8Array): number => crc32(packed, chunk);

/** CRC-32 of an overview's row, for whoever writes many at once: what the triggers would work out. */
export const checksumOfOverview = (channelId: number, level: number, buckets: Uint8Array): number =>
  checksumOfValues(overviewFields, [buckets, channelId, level]);

const overviewFields = ["buckets", "channelId", "level"];

/** Lets SQL on this connection ask for checksums. */
export function teachChecksums(client: Database.Database): void {
  const fieldsOf = new Map<string, readonly string[]>();
  client.function("checksum_of_row", { deterministic: true, varargs: true }, (columns, ...values) => {
    const fields = fieldsOf.get(columns as string) ?? (columns as string).split(" ").map(fieldOf);
    fieldsOf.set(columns as string, fields);
    return checksumOfValues(fields, values);
  });
  client.function("checksum_of_chunk", { deterministic: true }, (chunk, packed) =>
    checksumOfChunk(chunk as number, packed as Uint8Array),
  );
}

/** Of every table in the file whose rows have a checksum. */
export function sealsIn(client: Database.Database): Seal[] {
  const columns = client
    .prepare(
      `SELECT t.name AS "table", group_concat(c.name, ' ' ORDER BY c.name) AS columns
       FROM sqlite_schema t, pragma_table_info(t.name) c WHERE t.type = 'table' GROUP BY t.name`,
    )
    .all() as { table: string; columns: string }[];
  return columns.flatMap(({ table, columns }) => {
    const there = columns.split(" ");
    return there.includes("checksum") && table !== schemaSeal ? sealOf(table, there) : [];
  });
}

function sealOf(table: string, there: readonly string[]): Seal {
  if (table === "trace_chunks")
    return { table, covers: ["chunk", "packed"], checksum: "checksum_of_chunk(chunk, packed)" };
  const covers =
    table === "attempts"
      ? attemptColumns.filter((name) => there.includes(name))
      : there.filter((name) => name !== "checksum");
  const values = covers.map((name) => `"${name}"`).join(", ");
  return { table, covers, checksum: `checksum_of_row('${covers.join(" ")}', ${values})` };
}

/**
 * Seals on this connection whatever is written from now on: a row that comes without a checksum, and one that changes in
 * what its checksum covers. The triggers are the connection's own, so that the file needs none of our functions.
 */
export function sealWhatIsWritten(client: Database.Database): void {
  for (const { table, covers, checksum } of sealsIn(client)) {
    const seal = `BEGIN UPDATE "${table}" SET checksum = ${checksum} WHERE rowid = new.rowid; END`;
    const columns = covers.map((name) => `"${name}"`).join(", ");
    client.exec(`
      CREATE TEMP TRIGGER "new_${table}" AFTER INSERT ON main."${table}" WHEN new.checksum IS NULL ${seal};
      CREATE TEMP TRIGGER "changed_${table}" AFTER UPDATE OF ${columns} ON main."${table}" ${seal};
    `);
  }
}

/** Rows from before there were checksums get theirs. */
export function sealAll(client: Database.Database): void {
  for (const { table, checksum } of sealsIn(client))
    client.exec(`UPDATE "${table}" SET checksum = ${checksum} WHERE checksum IS NULL`);
  sealSchema(client);
}

/** The schema and what was done to come to it have one checksum for all, anew with every migration. */
function sealSchema(client: Database.Database): void {
  client.exec(
    `CREATE TABLE IF NOT EXISTS "${schemaSeal}" (checksum INTEGER NOT NULL) STRICT; DELETE FROM "${schemaSeal}"`,
  );
  client.prepare(`INSERT INTO "${schemaSeal}" (checksum) VALUES (?)`).run(checksumOfSchema(client));
}

const schemaSeal = "__schema_checksum";

function checksumOfSchema(client: Database.Database): number {
  const schema = client
    .prepare(
      "SELECT type, name, tbl_name, sql FROM sqlite_schema WHERE tbl_name NOT LIKE 'sqlite\\_%' ESCAPE '\\' ORDER BY name",
    )
    .raw()
    .all();
  const done = client.prepare("SELECT hash, created_at FROM __drizzle_migrations ORDER BY rowid").raw().all();
  return crc32(JSON.stringify([schema, done]));
}

/** Whether the schema is as the last migration left it; a file from before it had a checksum has none to compare. */
export function isSchemaSealed(client: Database.Database): boolean {
  const isThere = client.prepare("SELECT 1 FROM sqlite_schema WHERE name = ?").get(schemaSeal);
  if (isThere === undefined) return true;
  return client.prepare(`SELECT checksum FROM "${schemaSeal}"`).pluck().get() === checksumOfSchema(client);
}

/** The rows of a table that do not hold what was written. */
export const unsealedRows = ({ table, checksum }: Seal): string =>
  `SELECT * FROM "${table}" WHERE checksum IS NOT ${checksum} ORDER BY rowid`;
