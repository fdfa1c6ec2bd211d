import { mkdirSync, readFileSync } from "node:fs";
import path from "node:path";
import type Database from "better-sqlite3";
import { drizzle } from "drizzle-orm/better-sqlite3";
import { readMigrationFiles } from "drizzle-orm/migrator";
import { writerFrom } from "../../bench/document/stamp.ts";
import { attemptStore } from "../attempts/attempts.ts";
import { boardStore } from "../parts/boards.ts";
import { buildStore } from "../parts/builds.ts";
import { chipStore } from "../parts/chips.ts";
import { keptAnswerStore } from "../parts/keptAnswers.ts";
import { mergeStore } from "../parts/merges.ts";
import { mountStore } from "../parts/mounts.ts";
import { noiseStore } from "../parts/noise.ts";
import { pictureStore } from "../parts/pictures.ts";
import { ruleStore } from "../parts/rules.ts";
import { versionStore } from "../parts/versions.ts";
import { workloadStore } from "../parts/workloads.ts";
import { writeUpWordStore } from "../parts/writeUpWords.ts";
import type { Writer } from "../rows/accounts.ts";
import { sealAll, sealWhatIsWritten, teachChecksums } from "../rows/checksums.ts";
import type { Db } from "../rows/db.ts";
import { drawnFrom, uuidV7 } from "../rows/ids.ts";
import { memoryOf } from "../rows/memory.ts";
import * as schema from "../rows/schema.ts";
import { captureSensorStore } from "../traces/captureSensors.ts";
import { importMappingStore } from "../traces/importMappings.ts";
import { traceStore } from "../traces/traces.ts";
import { answeredPostStore } from "./answeredPosts.ts";
import { writeBackup } from "./backingUp.ts";
import { backupFolderOf, freeNameBefore } from "./backupFolder.ts";
import { type Changes, changesToTell } from "./changes.ts";
import { databaseIn } from "./driver.ts";
import {
  applicationId,
  clearMark,
  copyElsewhere,
  examined,
  isWritable,
  newer,
  schemasDone,
} from "./examination.ts";
import { faultsIn } from "./faults.ts";
import { codeOf, fileRefusal } from "./fileWords.ts";
import { openedToRead, removed } from "./journalFile.ts";
import { logMarkOn } from "./logMark.ts";
import { type Stop, type Stopping, stoppingOf } from "./stopping.ts";
import { type Writing, writingTo } from "./writing.ts";

export type JournalOptions = Readonly<{
  /** The folder of drizzle's migrations. */
  migrations: string;
  /** As many random bytes as asked for; ids are made of them. */
  randomBytes: (count: number) => Uint8Array;
  /** Where backups go; beside the journal where it is not said, and nowhere for null. */
  backups?: string | null;
  /** So much of the file the connection holds in memory of its own; little where it is not said, for it may be open for weeks. */
  heldKib?: number;
}>;

const usuallyHeldKib = 4_000;
/** For who writes much in one go: what does not fit is written twice. */
export const muchHeldKib = 16_000;

/** The whole record: one SQLite file. */
export type Journal = Writing &
  Stopping &
  Changes &
  Readonly<{
    /** What is open: the journal itself, or a copy of one that may not be written. */
    file: string;
    /** The file its owner knows. */
    original: string;
    db: Db;
    chips: ReturnType<typeof chipStore>;
    boards: ReturnType<typeof boardStore>;
    workloads: ReturnType<typeof workloadStore>;
    rules: ReturnType<typeof ruleStore>;
    builds: ReturnType<typeof buildStore>;
    mounts: ReturnType<typeof mountStore>;
    versions: ReturnType<typeof versionStore>;
    attempts: ReturnType<typeof attemptStore>;
    noise: ReturnType<typeof noiseStore>;
    traces: ReturnType<typeof traceStore>;
    captureSensors: ReturnType<typeof captureSensorStore>;
    pictures: ReturnType<typeof pictureStore>;
    merges: ReturnType<typeof mergeStore>;
    writeUpWords: ReturnType<typeof writeUpWordStore>;
    keptAnswers: ReturnType<typeof keptAnswerStore>;
    answeredPosts: ReturnType<typeof answeredPostStore>;
    importMappings: ReturnType<typeof importMappingStore>;
    /** Attempts found still running when the journal was opened, less those since taken up again. */
    interrupted: Set<string>;
    newId(now: string): string;
    /** Does it so that what it takes away is overwritten in the file, and not only let go of. */
    scrubbing<Result>(work: () => Result): Result;
    backUpTo(file: string): void;
    /** Takes the log in, so that the one file is the whole journal. */
    settle(): void;
    /** To be called once the whole file was replaced by another journal: nothing remembered of it holds. */
    replaced(): void;
    /** The journal as it stands now, for reading at leisure while writing goes on; to be closed. */
    snapshot(): Journal;
    /** Sentences on what is wrong with the file; empty when it is whole. */
    faults(): string[];
    close(): void;
  }>;

/** Opens the journal in a file, making it where there is none; one that may not be written is opened to read. */
export function openJournal(file: string, options: JournalOptions): Journal {
  const schemas = schemasIn(options.migrations);
  const look = examined(file, schemas);
  if (!look.isNew && !isWritable(file)) return openToRead(file, options);
  if (look.logGone && look.isOlder) return openBeforeUpdate(file, look.writtenAt, options);
  let client: Database.Database | undefined;
  try {
    client = openClient(file);
    migrateSafely(client, file, options);
    holdAtMost(client, options);
    assertDurable(client);
    const journal = journalOn(client, file, options, { clears: true });
    if (look.logGone) journal.stop(logGone(file, look.writtenAt));
    return journal;
  } catch (error) {
    client?.close();
    if (look.isNew) removed(file);
    throw fileRefusal(error, file) ?? error;
  }
}

/** Another connection to a journal that this process has open; it is neither looked over nor migrated again. */
export function joinJournal(file: string, options: JournalOptions): Journal {
  const client = openClient(file);
  try {
    client.pragma("foreign_keys = ON");
    holdAtMost(client, options);
    assertDurable(client);
    return journalOn(client, file, options, { clears: false });
  } catch (error) {
    client.close();
    throw error;
  }
}

/** The journal as it lies there, in a copy that goes when it is closed: the original is not touched. */
export function openToRead(file: string, options: JournalOptions): Journal {
  const { copy, gone } = copyElsewhere(file);
  try {
    const client = openClient(copy);
    migrateSafely(client, copy, { ...options, backups: null });
    const journal = journalOn(client, copy, { ...options, original: file }, { clears: true });
    journal.stop(readOnly(file));
    const close = () => {
      journal.close();
      gone();
    };
    return { ...journal, close };
  } catch (error) {
    gone();
    throw fileRefusal(error, file) ?? error;
  }
}

/**
 * A log that is found again fits only the file as it was: so one whose log is gone is brought up to date by the start
 * after its owner has gone on without, and is shown from a copy till then.
 */
function openBeforeUpdate(file: string, writtenAt: Date | null, options: JournalOptions): Journal {
  const opened = openToRead(file, options);
  opened.stop(logGone(file, writtenAt));
  const goOn = () => {
    clearMark(file);
    opened.stop(startAgain(file));
  };
  return { ...opened, goOn };
}

const startAgain = (file: string): Stop => ({
  because: "read-only",
  words: `${file} goes on without its log from the next start on, which also brings it up to date: stop Rungbook and start it again. Until then it is open to read, from a copy, and nothing entered is kept.`,
});

const readOnly = (file: string): Stop => ({
  because: "read-only",
  words: `${file} or its folder may not be written, so the journal was opened to read, from a copy; nothing entered is kept. To go on writing, give yourself permission and start again.`,
});

const logGone = (file: string, writtenAt: Date | null): Stop => ({
  because: "log-gone",
  words: `${file} was being written when it was last used, and the log that belonged to it, ${path.basename(file)}-wal, is gone: what was recorded after ${writtenAt?.toISOString().slice(0, 16).replace("T", " ")} UTC may be missing. Nothing is written until you have decided. If you still have the log, stop Rungbook, put it back beside the file and start again; else go on without it.`,
});

function openClient(file: string): Database.Database {
  const client = databaseIn(file);
  try {
    client.pragma("busy_timeout = 5000");
    client.pragma("journal_mode = WAL");
    client.pragma("synchronous = FULL");
    client.pragma("trusted_schema = OFF");
    teachChecksums(client);
    return client;
  } catch (error) {
    client.close();
    throw error;
  }
}

/** A negative number is one of KiB (sqlite.org, PRAGMA cache_size); the driver's own, 16,000, fill as a capture goes on. */
function holdAtMost(client: Database.Database, { heldKib = usuallyHeldKib }: JournalOptions): void {
  client.pragma(`cache_size = ${-heldKib}`);
}

/** The driver falls back to NORMAL once a file is in WAL, also on reopening; an acknowledged attempt could then be lost. */
function assertDurable(client: Database.Database): void {
  client.prepare("SELECT count(*) FROM sqlite_schema").get();
  client.pragma("synchronous = FULL");
  const level = client.pragma("synchronous", { simple: true });
  if (level !== 2) throw new Error(`The journal would not be written durably (synchronous is ${level}).`);
}

/**
 * A table rebuild drops child rows when foreign keys are on, and inside a transaction they cannot be turned off: so they
 * are off on the connection for the migration, and checked before it is committed. Schemas, checksums and the marks in
 * the header come together or not at all.
 */
function migrateSafely(client: Database.Database, file: string, options: JournalOptions): void {
  const known = schemasIn(options.migrations);
  const done = schemasDone(client);
  if (done > known) throw newer(file);
  if (done < known || !isMarked(client, known)) {
    if (done > 0 && done < known) backUpBefore(client, file, options);
    client.pragma("foreign_keys = OFF");
    client.transaction(() => {
      schemasApplied(client, options.migrations);
      const broken = client.pragma("foreign_key_check") as unknown[];
      if (broken.length > 0)
        throw new Error(`${broken.length} rows lost what they belong to while migrating.`);
      sealAll(client);
      client.pragma(`application_id = ${applicationId}`);
      client.pragma(`user_version = ${known}`);
    })();
    client.pragma("wal_checkpoint(TRUNCATE)");
  }
  client.pragma("foreign_keys = ON");
}

/** As drizzle's own migrator does it, which loses the fault of a full disk over a rollback that has happened already. */
function schemasApplied(client: Database.Database, migrations: string): void {
  client.exec(
    'CREATE TABLE IF NOT EXISTS "__drizzle_migrations" (id SERIAL PRIMARY KEY, hash text NOT NULL, created_at numeric)',
  );
  const newest = client.prepare("SELECT max(created_at) FROM __drizzle_migrations").pluck().get() as
    | number
    | null;
  const note = client.prepare("INSERT INTO __drizzle_migrations (hash, created_at) VALUES (?, ?)");
  for (const { sql, hash, folderMillis } of readMigrationFiles({ migrationsFolder: migrations })) {
    if (newest !== null && folderMillis <= newest) continue;
    for (const statement of sql) client.exec(statement);
    note.run(hash, folderMillis);
  }
}

const isMarked = (client: Database.Database, schemas: number): boolean =>
  client.pragma("application_id", { simple: true }) === applicationId &&
  Math.abs(client.pragma("user_version", { simple: true }) as number) === schemas;

export function schemasIn(migrations: string): number {
  const listed = readFileSync(path.join(migrations, "meta", "_journal.json"), "utf8");
  return (JSON.parse(listed) as { entries: unknown[] }).entries.length;
}

/** Not where the file is a copy of its own. Nobody is served yet, so nobody waits for it longer than in a thread. */
function backUpBefore(client: Database.Database, file: string, options: JournalOptions): void {
  if (options.backups === null) return;
  const folder = options.backups ?? backupFolderOf(file);
  mkdirSync(folder, { recursive: true, mode: 0o700 });
  writeBackup(client, freeNameBefore(file, folder, schemasDone(client)));
}

/** The journal in a file as it stands, to be read while whoever has it open goes on; null where it is of an older schema. */
export function journalToRead(file: string, options: JournalOptions): Journal | null {
  examined(file, schemasIn(options.migrations));
  const client = openedToRead(file);
  const isCurrent = schemasDone(client) === schemasIn(options.migrations);
  client.close();
  return isCurrent ? snapshotOf(file, options) : null;
}

/** A read that has begun sees nothing of what is written after it. */
function snapshotOf(file: string, options: JournalOptions): Journal {
  const client = openedToRead(file);
  teachChecksums(client);
  client.exec("BEGIN");
  client.prepare("SELECT count(*) FROM sqlite_schema").get();
  return journalOn(client, file, options, { clears: false });
}

function journalOn(
  client: Database.Database,
  file: string,
  options: JournalOptions & { original?: string },
  { clears }: { clears: boolean },
): Journal {
  const { original = file } = options;
  if (!client.readonly) sealWhatIsWritten(client);
  const db: Db = drizzle({ client, schema });
  const stopping = stoppingOf(original);
  const mark = logMarkOn(client, { clears });
  const changes = changesToTell();
  const writing = writingTo(client, mark, stopping, changes);
  const chance = drawnFrom(options.randomBytes);
  const memory = (kind: string) => memoryOf(client, writing, (id) => changes.note(kind, id));
  const attemptMemory = memory("attempts");
  let drawn = "";
  const writer: Writer = () => {
    drawn ||= writerFrom(chance(10));
    return drawn;
  };
  const attempts = attemptStore(db, attemptMemory, writer);
  const interrupted = new Set(readable(attempts.runningIds, stopping) ?? []);
  return {
    ...writing,
    ...stopping,
    watch: changes.watch,
    file,
    original,
    db,
    chips: chipStore(db, memory("chips"), writer),
    boards: boardStore(db, memory("boards"), writer),
    workloads: workloadStore(db, memory("workloads"), writer),
    rules: ruleStore(db, memory("rules"), writer),
    builds: buildStore(db, memory("builds"), attemptMemory, writer),
    mounts: mountStore(db, memory("mounts"), attemptMemory, writer),
    versions: versionStore(db, memory("versions"), writer),
    attempts,
    noise: noiseStore(db, memory("noise"), writer),
    traces: traceStore(db, attemptMemory),
    captureSensors: captureSensorStore(db),
    pictures: pictureStore(db, memory("pictures"), writer),
    merges: mergeStore(db, memory("merges")),
    writeUpWords: writeUpWordStore(db, memory("write-up"), writer),
    keptAnswers: keptAnswerStore(db, memory("answers")),
    answeredPosts: answeredPostStore(db),
    importMappings: importMappingStore(db),
    interrupted,
    scrubbing: (work) => {
      client.pragma("secure_delete = ON");
      try {
        return work();
      } finally {
        client.pragma("secure_delete = OFF");
      }
    },
    newId: (now) => uuidV7(Date.parse(now), chance(10)),
    backUpTo: (target) => writeBackup(client, target),
    settle: () => {
      if (stopping.stopped() === null) atOnce(client, mark.clear);
    },
    snapshot: () => snapshotOf(file, options),
    replaced: () => {
      stopping.goOn();
      mark.clear();
      for (const id of interrupted) interrupted.delete(id);
      for (const id of attempts.runningIds()) interrupted.add(id);
    },
    faults: () => faultsIn(client),
    close: () => {
      if (!client.open) return;
      if (!client.readonly && stopping.stopped() === null) {
        client.pragma("optimize");
        if (clears) mark.clear();
      }
      client.close();
    },
  };
}

/** Does it unless another connection is writing just then: nobody is kept waiting for tidiness. */
function atOnce(client: Database.Database, work: () => void): void {
  client.pragma("busy_timeout = 0");
  try {
    work();
  } catch (error) {
    if (!codeOf(error).startsWith("SQLITE_BUSY")) throw error;
  } finally {
    client.pragma("busy_timeout = 5000");
  }
}

/** What cannot be read for damage is null, and stops the writing; a journal still opens to show the rest. */
function readable<Found>(read: () => Found, stopping: Stopping): Found | null {
  try {
    return read();
  } catch (error) {
    if (stopping.refusalOf(error) === null) throw error;
    return null;
  }
}
