import { existsSync, readFileSync } from "node:fs";
import path from "node:path";
import Database from "better-sqlite3";
import { drizzle } from "drizzle-orm/better-sqlite3";
import { migrate } from "drizzle-orm/better-sqlite3/migrator";
import { Refusal } from "../../bench/things/refusal.ts";
import { attemptStore } from "../attempts/attempts.ts";
import { boardStore } from "../parts/boards.ts";
import { buildStore } from "../parts/builds.ts";
import { chipStore } from "../parts/chips.ts";
import { mountStore } from "../parts/mounts.ts";
import { noiseStore } from "../parts/noise.ts";
import { pictureStore } from "../parts/pictures.ts";
import { ruleStore } from "../parts/rules.ts";
import { workloadStore } from "../parts/workloads.ts";
import { writeUpWordStore } from "../parts/writeUpWords.ts";
import { sealAll, teachChecksums } from "../rows/checksums.ts";
import type { Db } from "../rows/db.ts";
import { drawnFrom, uuidV7 } from "../rows/ids.ts";
import { memoryOf } from "../rows/memory.ts";
import * as schema from "../rows/schema.ts";
import { captureSensorStore } from "../traces/captureSensors.ts";
import { importMappingStore } from "../traces/importMappings.ts";
import { traceStore } from "../traces/traces.ts";
import { answeredPostStore } from "./answeredPosts.ts";
import { faultsIn } from "./faults.ts";
import { type Writing, writingTo } from "./writing.ts";

export type JournalOptions = Readonly<{
  /** The folder of drizzle's migrations. */
  migrations: string;
  /** As many random bytes as asked for; ids are made of them. */
  randomBytes: (count: number) => Uint8Array;
}>;

/** The whole record: one SQLite file. */
export type Journal = Writing &
  Readonly<{
    file: string;
    db: Db;
    chips: ReturnType<typeof chipStore>;
    boards: ReturnType<typeof boardStore>;
    workloads: ReturnType<typeof workloadStore>;
    rules: ReturnType<typeof ruleStore>;
    builds: ReturnType<typeof buildStore>;
    mounts: ReturnType<typeof mountStore>;
    attempts: ReturnType<typeof attemptStore>;
    noise: ReturnType<typeof noiseStore>;
    traces: ReturnType<typeof traceStore>;
    captureSensors: ReturnType<typeof captureSensorStore>;
    pictures: ReturnType<typeof pictureStore>;
    writeUpWords: ReturnType<typeof writeUpWordStore>;
    answeredPosts: ReturnType<typeof answeredPostStore>;
    importMappings: ReturnType<typeof importMappingStore>;
    /** Attempts found still running when the journal was opened, less those since taken up again. */
    interrupted: Set<string>;
    newId(now: string): string;
    backUpTo(file: string): void;
    /** The journal as it stands now, for reading at leisure while writing goes on; to be closed. */
    snapshot(): Journal;
    /** Sentences on what is wrong with the file; empty when it is whole. */
    faults(): string[];
    close(): void;
  }>;

export function openJournal(file: string, options: JournalOptions): Journal {
  const client = openClient(file);
  try {
    const db = drizzle({ client, schema });
    migrateSafely(db, file, options.migrations);
    assertDurable(client);
    return journalOn(db, file, options);
  } catch (error) {
    client.close();
    throw error;
  }
}

function openClient(file: string): Database.Database {
  const client = new Database(file);
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

/** The driver falls back to NORMAL once a file is in WAL, also on reopening; an acknowledged attempt could then be lost. */
function assertDurable(client: Database.Database): void {
  client.prepare("SELECT count(*) FROM sqlite_schema").get();
  client.pragma("synchronous = FULL");
  const level = client.pragma("synchronous", { simple: true });
  if (level !== 2) throw new Error(`The journal would not be written durably (synchronous is ${level}).`);
}

/**
 * A table rebuild drops child rows when foreign keys are on, and drizzle's own switch does nothing inside its
 * transaction: so they are off on the connection for the migration, and checked afterwards.
 */
function migrateSafely(db: Db, file: string, migrations: string): void {
  const client = db.$client;
  const steps = stepsToCome(client, migrations);
  if (steps.done > steps.known)
    throw new Error("This journal was written by a newer version of the program. Nothing was changed.");
  if (steps.done === steps.known && client.pragma("user_version", { simple: true }) === steps.known) {
    client.pragma("foreign_keys = ON");
    return;
  }
  if (steps.done > 0 && steps.done < steps.known) backUp(client, freeName(`${file}.before-${steps.known}`));
  client.pragma("foreign_keys = OFF");
  migrate(db, { migrationsFolder: migrations });
  sealAll(client);
  const broken = client.pragma("foreign_key_check") as unknown[];
  if (broken.length > 0) throw new Error(`${broken.length} rows lost what they belong to while migrating.`);
  client.pragma("foreign_keys = ON");
  client.pragma(`user_version = ${steps.known}`);
}

function stepsToCome(client: Database.Database, migrations: string): { done: number; known: number } {
  const listed = JSON.parse(readFileSync(path.join(migrations, "meta", "_journal.json"), "utf8")) as {
    entries: unknown[];
  };
  const table = client.prepare("SELECT 1 FROM sqlite_schema WHERE name = '__drizzle_migrations'").get();
  const done = table
    ? (client.prepare("SELECT count(*) AS n FROM __drizzle_migrations").get() as { n: number }).n
    : 0;
  return { done, known: listed.entries.length };
}

function freeName(wanted: string): string {
  for (let n = 0; ; n++) {
    const candidate = n === 0 ? `${wanted}.db` : `${wanted}-${n}.db`;
    if (!existsSync(candidate)) return candidate;
  }
}

function backUp(client: Database.Database, file: string): void {
  if (existsSync(file))
    throw new Refusal("conflict", `${path.basename(file)} is there already; name another file.`);
  client.prepare("VACUUM INTO ?").run(file);
}

/** A read that has begun sees nothing of what is written after it. */
function snapshotOf(file: string, options: JournalOptions): Journal {
  const client = new Database(file, { readonly: true, fileMustExist: true });
  teachChecksums(client);
  client.exec("BEGIN");
  client.prepare("SELECT count(*) FROM sqlite_schema").get();
  return journalOn(drizzle({ client, schema }), file, options);
}

function journalOn(db: Db, file: string, options: JournalOptions): Journal {
  const client = db.$client;
  const writing = writingTo(client);
  const chance = drawnFrom(options.randomBytes);
  const memory = () => memoryOf(client, writing);
  const attemptMemory = memory();
  const attempts = attemptStore(db, attemptMemory);
  return {
    ...writing,
    file,
    db,
    chips: chipStore(db, memory()),
    boards: boardStore(db, memory()),
    workloads: workloadStore(db, memory()),
    rules: ruleStore(db, memory()),
    builds: buildStore(db, memory()),
    mounts: mountStore(db, memory(), attemptMemory),
    attempts,
    noise: noiseStore(db, memory()),
    traces: traceStore(db, attemptMemory),
    captureSensors: captureSensorStore(db),
    pictures: pictureStore(db, memory()),
    writeUpWords: writeUpWordStore(db),
    answeredPosts: answeredPostStore(db),
    importMappings: importMappingStore(db),
    interrupted: new Set(attempts.runningIds()),
    newId: (now) => uuidV7(Date.parse(now), chance(10)),
    backUpTo: (target) => backUp(client, target),
    snapshot: () => snapshotOf(file, options),
    faults: () => faultsIn(client),
    close: () => {
      if (!client.open) return;
      if (!client.readonly) client.pragma("optimize");
      client.close();
    },
  };
}
