import type Database from "better-sqlite3";

/** So many answers are kept for one list; past that all are let go, since a list so long is being walked through. */
const mostKept = 500;

/** What was read of one list, kept until anyone writes to that list. */
export type Memory = Readonly<{
  recall<Found>(what: string, read: () => Found): Found;
  /** To be called with every write to the list. */
  forget(): void;
}>;

/**
 * What a write has put there that may still be undone is read anew, and what another connection has committed shows in
 * SQLite's data version.
 */
export function memoryOf(
  client: Database.Database,
  writing: Readonly<{ begun(): number; committedElsewhere(): number }>,
): Memory {
  const kept = new Map<string, unknown>();
  let asOf = 0;
  let writtenIn = 0;

  return {
    recall<Found>(what: string, read: () => Found): Found {
      if (client.inTransaction && writtenIn === writing.begun()) return read();
      const now = writing.committedElsewhere();
      if (now !== asOf || kept.size >= mostKept) kept.clear();
      asOf = now;
      if (!kept.has(what)) kept.set(what, read());
      return kept.get(what) as Found;
    },
    forget(): void {
      kept.clear();
      writtenIn = writing.begun();
    },
  };
}
