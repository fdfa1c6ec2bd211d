/** What every kept thing carries besides its own fields. Instants are ISO 8601 in UTC. */
export type Kept = Readonly<{
  id: string;
  createdAt: string;
  updatedAt: string;
  /** Counts the edits; an edit of a stale version is refused. */
  version: number;
}>;

/** A page of a list: `next` is an opaque cursor, null on the last page. */
export type Page<Thing> = Readonly<{ items: readonly Thing[]; next: string | null }>;
