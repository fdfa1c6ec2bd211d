import type { ChangedThing } from "../store/file/changes.ts";
import type { Journal } from "../store/file/journal.ts";

/** One change as it is sent: `id` is where a listener that lost the connection goes on from. */
export type Told = Readonly<{ id: string; words: string }>;

export type ChangeFeed = Readonly<{
  /** The change told last: whoever has read the journal after it has missed nothing before. */
  here(): string;
  /**
   * Tells `send` of all that changes from now on, and first of what changed since the one last heard of. Where that is
   * not known any more, or from before this start, it tells that everything may have changed. Gives the end of it.
   */
  follow(lastId: string | null, send: (told: Told) => void): () => void;
  /** How many are following. */
  followers(): number;
  close(): void;
}>;

/** So many changes are kept for those who come back after a gap. */
const mostKept = 1_000;
/** How often the commits of other connections are looked for: a worker's, or a command's on the same file. */
const lookEveryMs = 250;

/** Another connection committed: what, is not known. */
const anything: ChangedThing = { kind: "journal", id: "" };
/** What was missed cannot be told. */
const afterGap: ChangedThing = { kind: "all", id: "" };

/**
 * What changes in the journal, told as it is committed, and kept for a while, whether anybody follows or not. `start` names
 * this start of the server among all others.
 */
export function changeFeedOf(journal: Journal, start: string): ChangeFeed {
  const followers = new Set<(told: Told) => void>();
  const kept: Told[] = [];
  let count = 0;
  let elsewhere = journal.committedElsewhere();
  let look: NodeJS.Timeout | undefined;
  const unwatch = journal.watch(tell);

  const here = (): string => `${start}-${count}`;

  const told = (change: ChangedThing): Told => ({
    id: here(),
    words: JSON.stringify({ ...change, revision: journal.revision() }),
  });

  function tell(changes: readonly ChangedThing[]): void {
    for (const change of changes) {
      count += 1;
      const one = told(change);
      kept.push(one);
      for (const send of followers) send(one);
    }
    kept.splice(0, kept.length - mostKept);
  }

  function lookElsewhere(): void {
    const now = journal.committedElsewhere();
    if (now !== elsewhere) tell([anything]);
    elsewhere = now;
  }

  /** What was missed; null where that cannot be said. */
  function since(lastId: string): readonly Told[] | null {
    const missed = lastId.startsWith(`${start}-`) ? count - Number(lastId.slice(start.length + 1)) : -1;
    if (!(missed >= 0 && missed <= kept.length)) return null;
    return missed === 0 ? [{ id: lastId, words: "" }] : kept.slice(-missed);
  }

  return {
    here,
    follow(lastId, send) {
      lookElsewhere();
      const missed = since(lastId ?? here()) ?? [told(afterGap)];
      if (followers.size === 0) look = setInterval(lookElsewhere, lookEveryMs).unref();
      followers.add(send);
      for (const one of missed) send(one);
      return () => {
        followers.delete(send);
        if (followers.size === 0) clearInterval(look);
      };
    },
    followers: () => followers.size,
    close() {
      clearInterval(look);
      unwatch();
    },
  };
}
