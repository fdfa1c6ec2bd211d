import { index, integer, sqliteTable, text } from "drizzle-orm/sqlite-core";
import type { Seen } from "../../bench/document/stamp.ts";
import { attempts } from "./schema.ts";

/** `{ field: [before, after] }`, the stamp of the edit, and what its writer had seen; both null from before there were stamps. */
const edit = {
  at: integer().notNull(),
  changes: text({ mode: "json" }).$type<Readonly<Record<string, readonly [unknown, unknown]>>>().notNull(),
  stamp: text(),
  seen: text({ mode: "json" }).$type<Seen>(),
  checksum: integer(),
};

/** What was changed in an attempt, and when. */
export const attemptEdits = sqliteTable(
  "attempt_edits",
  {
    id: integer().primaryKey({ autoIncrement: true }),
    attemptId: text("attempt_id")
      .notNull()
      .references(() => attempts.id, { onDelete: "cascade" }),
    ...edit,
  },
  (t) => [index("attempt_edits_by_attempt").on(t.attemptId, t.id)],
);

/** The same of every other thing. */
export const thingEdits = sqliteTable(
  "thing_edits",
  { id: integer().primaryKey({ autoIncrement: true }), thingId: text("thing_id").notNull(), ...edit },
  (t) => [index("thing_edits_by_thing").on(t.thingId, t.id)],
);

/** Merges that can still be undone. */
export const merges = sqliteTable("merges", {
  id: text().primaryKey(),
  at: integer().notNull(),
  added: integer().notNull(),
  updated: integer().notNull(),
  checksum: integer(),
});

/** What a merge wrote, in its order: how it was before, null where it was not here, and a print of how it was left. */
export const mergeSteps = sqliteTable(
  "merge_steps",
  {
    id: integer().primaryKey({ autoIncrement: true }),
    mergeId: text("merge_id")
      .notNull()
      .references(() => merges.id, { onDelete: "cascade" }),
    list: text().notNull(),
    thingId: text("thing_id").notNull(),
    before: text(),
    left: text().notNull(),
    checksum: integer(),
  },
  (t) => [index("merge_steps_by_merge").on(t.mergeId)],
);
