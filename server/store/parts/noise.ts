import { and, eq, isNull, type Placeholder, sql } from "drizzle-orm";
import type { NoiseReading } from "../../bench/noise/noiseReading.ts";
import type { Kept } from "../../bench/things/thing.ts";
import type { Writer } from "../rows/accounts.ts";
import { fromThousandthsOrNull, toInstant, toMs, toThousandthsOrNull } from "../rows/columns.ts";
import type { Db } from "../rows/db.ts";
import { keptOf } from "../rows/keptRows.ts";
import type { Memory } from "../rows/memory.ts";
import { noiseReadings } from "../rows/schema.ts";
import { rowCounter } from "../rows/statements.ts";
import { datedPages } from "../rows/thingPages.ts";
import { keptStore } from "../rows/thingStore.ts";

type Row = typeof noiseReadings.$inferSelect;
type Fields = Omit<NoiseReading, keyof Kept>;

const toReading = (row: Row): NoiseReading => ({
  ...keptOf(row),
  buildId: row.buildId,
  workloadId: row.workloadId,
  clockMhz: fromThousandthsOrNull(row.clockKhz),
  voltageMv: fromThousandthsOrNull(row.voltageUv),
  distanceM: row.distanceM,
  levelsDba: row.levelsDba,
  backgroundDba: row.backgroundDba,
  takenAt: toInstant(row.takenAt),
  note: row.note,
});

const toColumns = (reading: Fields) => ({
  buildId: reading.buildId,
  workloadId: reading.workloadId,
  clockKhz: toThousandthsOrNull(reading.clockMhz),
  voltageUv: toThousandthsOrNull(reading.voltageMv),
  distanceM: reading.distanceM,
  levelsDba: reading.levelsDba,
  backgroundDba: reading.backgroundDba,
  takenAt: toMs(reading.takenAt),
  note: reading.note,
});

const age = sql<number>`${noiseReadings.takenAt}`;
const orderOf = ({ takenAt }: NoiseReading) => toMs(takenAt);

export function noiseStore(db: Db, memory: Memory, writer: Writer) {
  const ofBuild = (buildId: string | Placeholder) =>
    and(eq(noiseReadings.buildId, buildId), isNull(noiseReadings.deletedAt));
  const takenOn = rowCounter(db, noiseReadings, ofBuild(sql.placeholder("build")));
  const takenUnder = rowCounter(
    db,
    noiseReadings,
    and(eq(noiseReadings.workloadId, sql.placeholder("workload")), isNull(noiseReadings.deletedAt)),
  );
  return {
    ...keptStore<Row, NoiseReading, Fields>(db, noiseReadings, toReading, toColumns, memory, {
      list: "noise",
      writer,
    }),
    pageOf: datedPages<Row, NoiseReading>(db, noiseReadings, age, toReading, orderOf),
    countOf: (buildId: string): number => takenOn({ build: buildId }),
    countUnder: (workloadId: string): number => takenUnder({ workload: workloadId }),
    all(): NoiseReading[] {
      return db
        .select()
        .from(noiseReadings)
        .where(isNull(noiseReadings.deletedAt))
        .orderBy(noiseReadings.id)
        .all()
        .map(toReading);
    },
  };
}
