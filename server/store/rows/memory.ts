import type Database from "better-sqlite3";
import { LRUCache } from "lru-cache";

/** So many answers are kept of one part of a list, and so many parts: past that those go that were not asked for longest. */
const mostKept = 500;
const mostParts = 100;

/** What was read of one list, kept until anyone writes to that list. */
export type Memory = Readonly<{
  /** A long list has parts, such as the attempts of one build, that are forgotten one by one. */
  recall<Found>(what: string, read: () => Found, part?: string): Found;
  /** To be called with every write to the list; without a part, all of it is forgotten. Whoever watches is told. */
  forget(part?: string): void;
  /** The same for what comes many times a second, and is shown by other means. */
  forgetQuietly(): void;
}>;

/**
 * What a write has put there that may still be undone is read anew, and what another connection has committed shows in
 * SQLite's data version.
 */
export function memoryOf(
  client: Database.Database,
  writing: Readonly<{ begun(): number; committedElsewhere(): number }>,
  note: (id: string) => void,
): Memory {
  const kept = new LRUCache<string, LRUCache<string, Readonly<{ found: unknown }>>>({ max: mostParts });
  let asOf = 0;
  let writtenIn = 0;

  function answersOf(part: string): LRUCache<string, Readonly<{ found: unknown }>> {
    const now = writing.committedElsewhere();
    if (now !== asOf) kept.clear();
    asOf = now;
    const answers = kept.get(part) ?? new LRUCache<string, Readonly<{ found: unknown }>>({ max: mostKept });
    kept.set(part, answers);
    return answers;
  }

  return {
    recall<Found>(what: string, read: () => Found, part = ""): Found {
      if (client.inTransaction && writtenIn === writing.begun()) return read();
      const answers = answersOf(part);
      const known = answers.get(what);
      if (known) return known.found as Found;
      const found = read();
      answers.set(what, { found });
      return found;
    },
    forgetQuietly: () => forget(),
    forget(part?: string): void {
      note(part ?? "");
      forget(part);
    },
  };

  function forget(part?: string): void {
    if (part === undefined) kept.clear();
    else kept.delete(part);
    writtenIn = writing.begun();
  }
}
