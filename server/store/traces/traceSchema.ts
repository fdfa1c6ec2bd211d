import { blob, integer, primaryKey, real, sqliteTable, text, uniqueIndex } from "drizzle-orm/sqlite-core";
import { attempts } from "../rows/schema.ts";

/** The sensor trace of an attempt; its channels, chunks and overviews come and go with it. */
export const traces = sqliteTable(
  "traces",
  {
    id: integer().primaryKey({ autoIncrement: true }),
    attemptId: text("attempt_id")
      .notNull()
      .references(() => attempts.id, { onDelete: "cascade" }),
    rows: integer().notNull(),
    fromS: real("from_s").notNull(),
    toS: real("to_s").notNull(),
    /** When its first row was taken, in milliseconds since 1970, where that is known. */
    startedAt: integer("started_at"),
    source: text({ enum: ["log", "live"] }).notNull(),
    keptAt: integer("kept_at").notNull(),
    checksum: integer(),
  },
  (t) => [uniqueIndex("traces_by_attempt").on(t.attemptId)],
);

export const traceChannels = sqliteTable(
  "trace_channels",
  {
    id: integer().primaryKey({ autoIncrement: true }),
    traceId: integer("trace_id")
      .notNull()
      .references(() => traces.id, { onDelete: "cascade" }),
    place: integer().notNull(),
    channel: text().notNull(),
    unit: text().notNull(),
    checksum: integer(),
  },
  (t) => [uniqueIndex("trace_channels_by_name").on(t.traceId, t.channel)],
);

/** A few thousand values of one channel, packed. A chunk that is not there holds no readings. */
export const traceChunks = sqliteTable(
  "trace_chunks",
  {
    channelId: integer("channel_id")
      .notNull()
      .references(() => traceChannels.id, { onDelete: "cascade" }),
    chunk: integer().notNull(),
    packed: blob({ mode: "buffer" }).notNull(),
    checksum: integer(),
  },
  (t) => [primaryKey({ columns: [t.channelId, t.chunk] })],
);

/** Least, greatest and mean of every so many rows of a channel. */
export const traceOverviews = sqliteTable(
  "trace_overviews",
  {
    channelId: integer("channel_id")
      .notNull()
      .references(() => traceChannels.id, { onDelete: "cascade" }),
    level: integer().notNull(),
    buckets: blob({ mode: "buffer" }).notNull(),
    checksum: integer(),
  },
  (t) => [primaryKey({ columns: [t.channelId, t.level] })],
);

/** Which column of a log is which channel, as the tester settled it for that header. */
export const columnMatches = sqliteTable("column_matches", {
  header: text().primaryKey(),
  matches: text({ mode: "json" }).notNull(),
  keptAt: integer("kept_at").notNull(),
  checksum: integer(),
});
