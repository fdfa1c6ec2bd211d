import { sql } from "drizzle-orm";
import { blob, check, index, integer, sqliteTable, text } from "drizzle-orm/sqlite-core";
import type { Stamps } from "../../bench/document/account.ts";
import { attempts, builds, mounts } from "../rows/schema.ts";

/** What is said of a picture. It belongs to a build, and where it says so to one of its mounts or attempts. */
export const pictures = sqliteTable(
  "pictures",
  {
    id: text().primaryKey(),
    createdAt: integer("created_at").notNull(),
    updatedAt: integer("updated_at").notNull(),
    version: integer().notNull().default(1),
    deletedAt: integer("deleted_at"),
    stamps: text({ mode: "json" }).$type<Stamps>(),
    buildId: text("build_id")
      .notNull()
      .references(() => builds.id, { onDelete: "cascade" }),
    mountId: text("mount_id").references(() => mounts.id, { onDelete: "cascade" }),
    attemptId: text("attempt_id").references(() => attempts.id, { onDelete: "cascade" }),
    caption: text().notNull(),
    type: text({ enum: ["image/jpeg", "image/png", "image/webp"] }).notNull(),
    widthPx: integer("width_px").notNull(),
    heightPx: integer("height_px").notNull(),
    sizeBytes: integer("size_bytes").notNull(),
    checksum: integer(),
  },
  (t) => [
    index("pictures_by_build").on(t.buildId, t.id),
    index("pictures_by_mount").on(t.mountId),
    index("pictures_by_attempt").on(t.attemptId),
    check("pictures_type", sql`${t.type} IN ('image/jpeg', 'image/png', 'image/webp')`),
    check("pictures_of_one", sql`${t.mountId} IS NULL OR ${t.attemptId} IS NULL`),
  ],
);

/** The bytes stand apart, so that a list of pictures reads none of them. */
export const pictureImages = sqliteTable("picture_images", {
  pictureId: text("picture_id")
    .primaryKey()
    .references(() => pictures.id, { onDelete: "cascade" }),
  bytes: blob({ mode: "buffer" }).notNull(),
  checksum: integer(),
});
