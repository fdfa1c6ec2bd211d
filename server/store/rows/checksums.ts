import { crc32 } from "node:zlib";
import type Database from "better-sqlite3";
import { getTableColumns } from "drizzle-orm";
import { attempts } from "./schema.ts";

/** An attempt's mount follows from its time and `traced` from its trace: both are written without the row's own edits. */
const derived: ReadonlySet<string> = new Set(["mountId", "traced", "checksum"]);

/** The columns an attempt's checksum covers, in the order they go in, and the name each goes in by. */
const covered = Object.values(getTableColumns(attempts))
  .map(({ name }) => ({ name, as: name.replace(/_([a-z])/g, (_, letter: string) => letter.toUpperCase()) }))
  .filter(({ as }) => !derived.has(as));
const columnsCovered = covered.map(({ name }) => name).join(", ");

/** CRC-32 of an attempt's row as it lies in the file. Any single bit that flips shows. */
export const checksumOfAttempt = (row: Readonly<Record<string, unknown>>): number =>
  checksumOfValues(...covered.map(({ name }) => row[name]));

/** What is null is left out, so that a column that comes with a later version changes no checksum. */
function checksumOfValues(...values: readonly unknown[]): number {
  const held: unknown[] = [];
  values.forEach((value, at) => {
    if (value !== null && value !== undefined) held.push(covered[at]?.as, value);
  });
  return crc32(JSON.stringify(held));
}

/** CRC-32 of a chunk of a trace, begun from its place so that one in another's place shows too. */
export const checksumOfChunk = (chunk: number, packed: Uint8Array): number => crc32(packed, chunk);

/** Lets SQL on this connection ask for checksums. */
export function teachChecksums(client: Database.Database): void {
  client.function("checksum_of_attempt", { deterministic: true, varargs: true }, checksumOfValues);
  client.function("checksum_of_chunk", { deterministic: true }, (chunk, packed) =>
    checksumOfChunk(chunk as number, packed as Uint8Array),
  );
}

const seals = [
  ["attempts", `checksum_of_attempt(${columnsCovered})`],
  ["trace_chunks", "checksum_of_chunk(chunk, packed)"],
] as const;

/** Gives the attempt the checksum of what it holds now. */
export const sealAttempt = `UPDATE attempts SET checksum = checksum_of_attempt(${columnsCovered}) WHERE id = ?`;

/** Rows from before there were checksums get theirs. */
export function sealAll(client: Database.Database): void {
  for (const [table, checksum] of seals)
    client.exec(`UPDATE ${table} SET checksum = ${checksum} WHERE checksum IS NULL`);
}

/** Of attempts and of trace chunks: those that do not hold what was written. */
export const unsealedAttempts = `SELECT a.id, a.clock_khz, a.voltage_uv, a.started_at, a.build_id FROM attempts a
  WHERE checksum IS NOT ${seals[0][1]} ORDER BY a.rowid`;
export const unsealedChunks = `SELECT t.attempt_id, c.channel, k.chunk FROM trace_chunks k
  LEFT JOIN trace_channels c ON c.id = k.channel_id LEFT JOIN traces t ON t.id = c.trace_id
  WHERE k.checksum IS NOT checksum_of_chunk(k.chunk, k.packed) ORDER BY k.channel_id, k.chunk`;
