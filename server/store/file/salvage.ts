import { mkdtempSync, rmSync } from "node:fs";
import os from "node:os";
import path from "node:path";
import type Database from "better-sqlite3";
import { sealsIn } from "../rows/checksums.ts";
import { rowsPerTraceChunk } from "../traces/tracePacking.ts";
import { databaseIn } from "./driver.ts";
import { copyElsewhere } from "./examination.ts";
import { rowsChanged } from "./faults.ts";
import { fileRefusal } from "./fileWords.ts";
import { type Journal, type JournalOptions, openJournal } from "./journal.ts";
import { standIn } from "./standIns.ts";

/** What could be read of a damaged journal, as a whole one of its own, with a sentence for each thing that could not. */
export type Salvaged = Readonly<{ journal: Journal; lost: readonly string[]; close(): void }>;

/** Reads a damaged journal row by row. What rows that were read stand on and could not be read themselves gets a stand-in. */
export function salvaged(file: string, options: JournalOptions): Salvaged {
  return salvagedBy(copyElsewhere(file), file, options);
}

/** The same of a journal that this process has open: it is read where it lies, since a copy would cost its locks. */
export function salvagedWhereItLies(file: string, options: JournalOptions): Salvaged {
  const folder = mkdtempSync(path.join(os.tmpdir(), "rungbook-copy-"));
  const gone = () => rmSync(folder, { recursive: true, force: true });
  return salvagedBy({ copy: file, folder, gone }, file, options);
}

type Source = Readonly<{ copy: string; folder?: string; gone(): void }>;

function salvagedBy({ copy, folder, gone }: Source, file: string, options: JournalOptions): Salvaged {
  try {
    const made = path.join(folder ?? path.dirname(copy), "salvaged.db");
    const journal = openJournal(made, { ...options, backups: null });
    const lost = rowsTaken(copy, journal.db.$client);
    const close = () => {
      journal.close();
      gone();
    };
    return { journal, lost, close };
  } catch (error) {
    gone();
    throw fileRefusal(error, file) ?? error;
  }
}

function rowsTaken(from: string, to: Database.Database): string[] {
  const source = databaseIn(from, { readonly: true });
  try {
    to.pragma("foreign_keys = OFF");
    const lost = tablesOf(to).flatMap((table) => tableTaken(table, source, to));
    lost.push(...brokenTracesDropped(to), ...changedTaken(to), ...standIn(to));
    to.pragma("foreign_keys = ON");
    return lost;
  } finally {
    source.close();
  }
}

const tablesOf = (client: Database.Database): string[] =>
  client
    .prepare(
      "SELECT name FROM sqlite_schema WHERE type = 'table' AND name NOT LIKE 'sqlite_%' AND name NOT LIKE '\\_\\_%' ESCAPE '\\'",
    )
    .pluck()
    .all() as string[];

const columnsOf = (client: Database.Database, table: string): string[] =>
  client.prepare("SELECT name FROM pragma_table_info(?)").pluck().all(table) as string[];

function tableTaken(table: string, source: Database.Database, to: Database.Database): string[] {
  const there = new Set(columnsOf(source, table));
  const columns = columnsOf(to, table).filter((column) => there.has(column));
  if (columns.length === 0) return [];
  const names = columns.map((column) => `"${column}"`).join(", ");
  const read = source.prepare(`SELECT ${names} FROM "${table}" NOT INDEXED WHERE rowid = ?`).raw();
  const write = to.prepare(
    `INSERT OR REPLACE INTO "${table}" (${names}) VALUES (${columns.map(() => "?").join(", ")})`,
  );
  const unread: string[] = [];
  to.transaction(() => {
    for (const [rowid, id] of rowsListed(table, source, there.has("id"))) {
      try {
        const row = read.get(rowid) as unknown[] | undefined;
        if (row) write.run(...row);
        else unread.push(id);
      } catch {
        unread.push(id);
      }
    }
  })();
  return unread.length === 0 ? [] : [lostWords(table, unread)];
}

/** So many lost things are named; of more only how many there are is said. */
const mostNamed = 20;

function lostWords(table: string, unread: readonly string[]): string {
  const named = unread.slice(0, mostNamed).join(", ");
  const more = unread.length > mostNamed ? " and others" : "";
  return `${unread.length} of ${table.replaceAll("_", " ")} could not be read: ${named}${more}.`;
}

/** Every row that the table or one of its indexes still tells of: each is read until its first damaged page, from both ends. */
function rowsListed(table: string, source: Database.Database, hasId: boolean): Map<number, string> {
  const listed = new Map<number, string>();
  const id = hasId ? "id" : "rowid";
  const indexes = source
    .prepare("SELECT name FROM sqlite_schema WHERE type = 'index' AND tbl_name = ?")
    .pluck()
    .all(table) as string[];
  const ways = [...indexes.map((name) => `INDEXED BY "${name}"`), "NOT INDEXED"];
  for (const way of ways)
    for (const order of ["", "ORDER BY rowid DESC"])
      listUntilDamage(source, `SELECT rowid, ${id} FROM "${table}" ${way} ${order}`, listed);
  for (const rowid of between(listed)) if (!listed.has(rowid)) probe(source, table, rowid, listed);
  return listed;
}

function listUntilDamage(source: Database.Database, sql: string, listed: Map<number, string>): void {
  try {
    for (const [rowid, id] of source.prepare(sql).raw().iterate() as Iterable<[number, string | number]>)
      listed.set(rowid, String(id));
  } catch {
    // What lies beyond is found by another way, or is lost.
  }
}

/** Row numbers are given in turn, so a row that no index tells of lies between others. */
function* between(listed: ReadonlyMap<number, string>): Generator<number> {
  let [least, most] = [Number.POSITIVE_INFINITY, 0];
  for (const rowid of listed.keys()) [least, most] = [Math.min(least, rowid), Math.max(most, rowid)];
  if (most - least > 5_000_000) return;
  for (let rowid = Math.min(1, least); rowid <= most; rowid++) yield rowid;
}

function probe(source: Database.Database, table: string, rowid: number, listed: Map<number, string>): void {
  try {
    const found = source.prepare(`SELECT 1 FROM "${table}" NOT INDEXED WHERE rowid = ?`).get(rowid);
    if (found) listed.set(rowid, `row ${rowid}`);
  } catch {
    listed.set(rowid, `row ${rowid}`);
  }
}

/** A trace without all of its times, or with a chunk that has changed, would spoil the whole of an import. */
function brokenTracesDropped(to: Database.Database): string[] {
  const changed = to
    .prepare(
      `SELECT t.attempt_id FROM trace_chunks k JOIN trace_channels c ON c.id = k.channel_id JOIN traces t ON t.id = c.trace_id
       WHERE k.checksum IS NOT checksum_of_chunk(k.chunk, k.packed)`,
    )
    .pluck()
    .all() as string[];
  const short = to
    .prepare(
      `SELECT t.attempt_id FROM traces t WHERE (SELECT count(*) FROM trace_chunks k JOIN trace_channels c ON c.id = k.channel_id
         WHERE c.trace_id = t.id AND c.channel = 'time') < (t.rows + ${rowsPerTraceChunk - 1}) / ${rowsPerTraceChunk}`,
    )
    .pluck()
    .all() as string[];
  const broken = [...new Set([...changed, ...short])];
  for (const id of broken) {
    dropWhole(id, to);
    to.prepare("UPDATE attempts SET traced = 0 WHERE id = ?").run(id);
  }
  return broken.map((id) => `The trace of the attempt ${id} could not be read whole and was left out.`);
}

/** With all that hangs on it: foreign keys, which would take that along, are off. */
function dropWhole(attemptId: string, to: Database.Database): void {
  const channels =
    "SELECT c.id FROM trace_channels c JOIN traces t ON t.id = c.trace_id WHERE t.attempt_id = ?";
  for (const table of ["trace_chunks", "trace_overviews"])
    to.prepare(`DELETE FROM ${table} WHERE channel_id IN (${channels})`).run(attemptId);
  to.prepare(`DELETE FROM trace_channels WHERE id IN (${channels})`).run(attemptId);
  to.prepare("DELETE FROM traces WHERE attempt_id = ?").run(attemptId);
}

/** Overviews are made anew from the trace wherever the document is taken in. */
function changedTaken(to: Database.Database): string[] {
  const changed = sealsIn(to)
    .filter(({ table }) => table !== "trace_overviews")
    .flatMap((seal) => rowsChanged(to, seal));
  const more = changed.length > mostNamed ? [`So it is with ${changed.length - mostNamed} more.`] : [];
  return [
    ...changed
      .slice(0, mostNamed)
      .map((what) => `${what} does not hold what was written, and was taken as it is.`),
    ...more,
  ];
}
