import { integer, primaryKey, sqliteTable, text } from "drizzle-orm/sqlite-core";
import { goals, uses } from "../../bench/things/aim.ts";
import { builds } from "../rows/schema.ts";

/** The answer of each build as last fitted, for each aim it was asked with, and what it rested on. */
export const keptAnswers = sqliteTable(
  "kept_answers",
  {
    buildId: text("build_id")
      .notNull()
      .references(() => builds.id, { onDelete: "cascade" }),
    use: text({ enum: uses }).notNull(),
    goal: text({ enum: goals }).notNull(),
    /** Counts the shapes an answer has been kept in. */
    form: integer().notNull(),
    answer: text({ mode: "json" }).$type<unknown>().notNull(),
    checksum: integer(),
  },
  (t) => [primaryKey({ columns: [t.buildId, t.use, t.goal] })],
);
