import { and, asc, eq, isNull, sql } from "drizzle-orm";
import type { SQLiteColumn } from "drizzle-orm/sqlite-core";
import type { Picture, Pictured } from "../../bench/pictures/picture.ts";
import type { Kept } from "../../bench/things/thing.ts";
import type { Writer } from "../rows/accounts.ts";
import type { Db } from "../rows/db.ts";
import { keptOf } from "../rows/keptRows.ts";
import type { Memory } from "../rows/memory.ts";
import { whenAsked } from "../rows/statements.ts";
import { keptStore } from "../rows/thingStore.ts";
import { pictureImages, pictures } from "./pictureSchema.ts";

type Row = typeof pictures.$inferSelect;
type Fields = Omit<Picture, keyof Kept>;

const toPicture = (row: Row): Picture => ({
  ...keptOf(row),
  buildId: row.buildId,
  mountId: row.mountId,
  attemptId: row.attemptId,
  caption: row.caption,
  type: row.type,
  widthPx: row.widthPx,
  heightPx: row.heightPx,
  sizeBytes: row.sizeBytes,
});

const toColumns = (picture: Fields) => ({
  buildId: picture.buildId,
  mountId: picture.mountId,
  attemptId: picture.attemptId,
  caption: picture.caption,
  type: picture.type,
  widthPx: picture.widthPx,
  heightPx: picture.heightPx,
  sizeBytes: picture.sizeBytes,
});

export function pictureStore(db: Db, memory: Memory, writer: Writer) {
  const idsBy = (column: string) =>
    whenAsked(() => db.$client.prepare(`SELECT id FROM pictures WHERE ${column} = ? ORDER BY id`).pluck());
  const idsOf = { builds: idsBy("build_id"), mounts: idsBy("mount_id"), attempts: idsBy("attempt_id") };
  const standingBy = (column: SQLiteColumn) =>
    whenAsked(() =>
      db
        .select()
        .from(pictures)
        .where(and(eq(column, sql.placeholder("named")), isNull(pictures.deletedAt)))
        .orderBy(asc(pictures.id))
        .prepare(),
    );
  const standingOf = {
    builds: standingBy(pictures.buildId),
    mounts: standingBy(pictures.mountId),
    attempts: standingBy(pictures.attemptId),
  };
  return {
    ...keptStore<Row, Picture, Fields>(db, pictures, toPicture, toColumns, memory, {
      list: "pictures",
      writer,
    }),
    /** In the order they came. Those of a build are also those of its mounts and attempts. */
    of(thing: Pictured, id: string): readonly Picture[] {
      return memory.recall(`of ${thing} ${id}`, () => standingOf[thing]().all({ named: id }).map(toPicture));
    },
    /** Those of a build, mount or attempt, removed or not. */
    idsOf: (thing: Pictured, id: string): readonly string[] => idsOf[thing]().all(id) as string[],
    all(): Picture[] {
      return db
        .select()
        .from(pictures)
        .where(isNull(pictures.deletedAt))
        .orderBy(asc(pictures.id))
        .all()
        .map(toPicture);
    },
    imageOf(pictureId: string): Buffer | undefined {
      return db.select().from(pictureImages).where(eq(pictureImages.pictureId, pictureId)).get()?.bytes;
    },
    dropImage(pictureId: string): void {
      db.delete(pictureImages).where(eq(pictureImages.pictureId, pictureId)).run();
    },
    keepImage(pictureId: string, bytes: Uint8Array): void {
      const image = Buffer.from(bytes);
      db.insert(pictureImages)
        .values({ pictureId, bytes: image })
        .onConflictDoUpdate({ target: pictureImages.pictureId, set: { bytes: image } })
        .run();
    },
  };
}
