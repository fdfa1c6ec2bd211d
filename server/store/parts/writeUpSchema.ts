import { integer, primaryKey, sqliteTable, text } from "drizzle-orm/sqlite-core";

/** The writer's own words for a paragraph of an account, and what the journal said when they were written. */
export const writeUpWords = sqliteTable(
  "write_up_words",
  {
    /** The ids of the builds told of, in their order, with commas between. */
    builds: text().notNull(),
    slot: text().notNull(),
    words: text().notNull(),
    replaced: text().notNull(),
    updatedAt: integer("updated_at").notNull(),
    /** Null from before there were stamps: then it is that of the time. */
    stamp: text(),
    /** Given up again, so that the journal speaks for itself; kept so that this travels. */
    dropped: integer({ mode: "boolean" }),
    checksum: integer(),
  },
  (t) => [primaryKey({ columns: [t.builds, t.slot] })],
);
