import type Database from "better-sqlite3";

/** So many answers are kept of one part of a list, and so many parts: past that the oldest go. */
const mostKept = 500;
const mostParts = 100;

/** What was read of one list, kept until anyone writes to that list. */
export type Memory = Readonly<{
  /** A long list has parts, such as the attempts of one build, that are forgotten one by one. */
  recall<Found>(what: string, read: () => Found, part?: string): Found;
  /** To be called with every write to the list; without a part, all of it is forgotten. */
  forget(part?: string): void;
}>;

/**
 * What a write has put there that may still be undone is read anew, and what another connection has committed shows in
 * SQLite's data version.
 */
export function memoryOf(
  client: Database.Database,
  writing: Readonly<{ begun(): number; committedElsewhere(): number }>,
): Memory {
  const kept = new Map<string, Map<string, unknown>>();
  let asOf = 0;
  let writtenIn = 0;

  /** The part asked for last stands last. */
  function answersOf(part: string): Map<string, unknown> {
    const now = writing.committedElsewhere();
    if (now !== asOf) kept.clear();
    asOf = now;
    const answers = kept.get(part) ?? new Map<string, unknown>();
    kept.delete(part);
    kept.set(part, answers);
    if (answers.size >= mostKept) answers.clear();
    if (kept.size > mostParts) kept.delete(kept.keys().next().value as string);
    return answers;
  }

  return {
    recall<Found>(what: string, read: () => Found, part = ""): Found {
      if (client.inTransaction && writtenIn === writing.begun()) return read();
      const answers = answersOf(part);
      if (!answers.has(what)) answers.set(what, read());
      return answers.get(what) as Found;
    },
    forget(part?: string): void {
      if (part === undefined) kept.clear();
      else kept.delete(part);
      writtenIn = writing.begun();
    },
  };
}
