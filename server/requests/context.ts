import type {} from "@fastify/swagger";
import type { JournalFiles } from "../actions/journalFiles.ts";
import type { Attendants } from "../answers/attendants.ts";
import type { Reckonings } from "../answers/reckoned.ts";
import type { Journal } from "../store/file/journal.ts";
import type { ChangeFeed } from "./changeFeed.ts";

/** What every address needs to answer: the journal, and what time it is. */
export type Context = Readonly<{
  journal: Journal;
  /** The journal's file and its backups. */
  files: JournalFiles;
  /** What changes in the journal, as it is told to open pages. */
  feed: ChangeFeed;
  /** The present instant, ISO 8601 in UTC. */
  now(): string;
  version: string;
  /** Who attends which build on the machine under test. */
  attendants: Attendants;
  /** Where answers that take long are reckoned and kept. */
  reckonings: Reckonings;
  /** True where everything in the journal was made up. */
  demo?: boolean;
  /** The folder of the worker threads, and the migrations they need to open the journal. */
  workers: string;
  migrations: string;
}>;
