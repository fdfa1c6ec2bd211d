import type { Journal } from "../store/file/journal.ts";

/** What every action works on and when. Actions run inside a write of the journal. */
export type At = Readonly<{ journal: Journal; now: string }>;
