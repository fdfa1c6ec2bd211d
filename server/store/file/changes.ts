/** What a commit changed: a list, and what of it where that is one thing or one build's attempts; "" is any of it. */
export type ChangedThing = Readonly<{ kind: string; id: string }>;

/** Tells whoever watches what each commit changed, once it is on the disk. */
export type Changes = Readonly<{
  /** Gives the function that ends the watch. */
  watch(listener: (changes: readonly ChangedThing[]) => void): () => void;
}>;

/** The other end: what stores and the writing say. */
export type ChangesToTell = Changes &
  Readonly<{
    /** Something was written that is not committed yet. */
    note(kind: string, id: string): void;
    tell(): void;
    /** What was noted is undone. */
    drop(): void;
  }>;

export function changesToTell(): ChangesToTell {
  const listeners = new Set<(changes: readonly ChangedThing[]) => void>();
  const noted = new Map<string, ChangedThing>();
  return {
    watch(listener) {
      listeners.add(listener);
      return () => void listeners.delete(listener);
    },
    note(kind, id) {
      if (listeners.size > 0) noted.set(`${kind} ${id}`, { kind, id });
    },
    tell() {
      if (noted.size === 0) return;
      const changes = [...noted.values()];
      noted.clear();
      // Not within the write: nothing a listener does may spoil what is committed.
      for (const listener of listeners) queueMicrotask(() => listener(changes));
    },
    drop: () => noted.clear(),
  };
}
