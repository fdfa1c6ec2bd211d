import { and, asc, eq, isNull } from "drizzle-orm";
import type { Picture, Pictured } from "../../bench/pictures/picture.ts";
import type { Kept } from "../../bench/things/thing.ts";
import type { Db } from "../rows/db.ts";
import type { Memory } from "../rows/memory.ts";
import { keptOf, keptStore } from "../rows/thingStore.ts";
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

const belongsTo = { builds: pictures.buildId, mounts: pictures.mountId, attempts: pictures.attemptId };

export function pictureStore(db: Db, memory: Memory) {
  return {
    ...keptStore<Row, Picture, Fields>(db, pictures, toPicture, toColumns, memory),
    /** In the order they came. Those of a build are also those of its mounts and attempts. */
    of(thing: Pictured, id: string): readonly Picture[] {
      return memory.recall(`of ${thing} ${id}`, () =>
        db
          .select()
          .from(pictures)
          .where(and(eq(belongsTo[thing], id), isNull(pictures.deletedAt)))
          .orderBy(asc(pictures.id))
          .all()
          .map(toPicture),
      );
    },
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
    keepImage(pictureId: string, bytes: Uint8Array): void {
      const image = Buffer.from(bytes);
      db.insert(pictureImages)
        .values({ pictureId, bytes: image })
        .onConflictDoUpdate({ target: pictureImages.pictureId, set: { bytes: image } })
        .run();
    },
  };
}
