import type Database from "better-sqlite3";

/**
 * Says in the file itself whether a log belongs to it, so that a log that is lost shows. SQLite's `user_version` counts
 * the schemas, and is negative from before the first commit after a rest until the log has been taken in.
 */
export type LogMark = Readonly<{
  /** To be called before a transaction begins. */
  set(): void;
  /** To be called as a transaction has begun; false where the mark was cleared in between. */
  isSet(): boolean;
  /** Takes the log in and clears the mark: the one file is the journal. */
  clear(): void;
}>;

/** Of several connections to a file only the one that `clears` may remember the mark: nobody takes it from under it. */
export function logMarkOn(client: Database.Database, { clears }: { clears: boolean }): LogMark {
  const version = client.prepare("PRAGMA user_version").pluck();
  let remembered = false;
  return {
    set(): void {
      if (remembered) return;
      const schemas = version.get() as number;
      if (schemas > 0) client.pragma(`user_version = ${-schemas}`);
      // Passive, so that the log keeps a frame: an empty one beside a marked file would look like a loss.
      if (schemas > 0) client.pragma("wal_checkpoint(PASSIVE)");
      remembered = clears;
    },
    isSet: () => remembered || (version.get() as number) <= 0,
    clear(): void {
      remembered = false;
      const schemas = version.get() as number;
      if (schemas < 0) client.pragma(`user_version = ${-schemas}`);
      client.pragma("wal_checkpoint(TRUNCATE)");
    },
  };
}
