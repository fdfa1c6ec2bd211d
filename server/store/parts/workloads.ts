import type { Kept } from "../../bench/things/thing.ts";
import type { Workload } from "../../bench/things/workload.ts";
import type { Writer } from "../rows/accounts.ts";
import type { Db } from "../rows/db.ts";
import { keptOf } from "../rows/keptRows.ts";
import type { Memory } from "../rows/memory.ts";
import { workloads } from "../rows/schema.ts";
import { namedStore } from "../rows/thingStore.ts";

type Row = typeof workloads.$inferSelect;
type Fields = Omit<Workload, keyof Kept>;

const fieldsOf = (workload: Fields): Fields => ({
  name: workload.name,
  kind: workload.kind,
  severity: workload.severity,
  scoreUnit: workload.scoreUnit,
  scoreBetter: workload.scoreBetter,
  note: workload.note,
});

const toWorkload = (row: Row): Workload => ({ ...keptOf(row), ...fieldsOf(row) });

export const workloadStore = (db: Db, memory: Memory, writer: Writer) =>
  namedStore<Row, Workload, Fields>(db, workloads, toWorkload, fieldsOf, memory, {
    list: "workloads",
    writer,
  });
