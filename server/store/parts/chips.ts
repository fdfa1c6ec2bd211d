import type { Chip } from "../../bench/things/chip.ts";
import type { Kept } from "../../bench/things/thing.ts";
import {
  fromThousandths,
  fromThousandthsOrNull,
  toThousandths,
  toThousandthsOrNull,
} from "../rows/columns.ts";
import type { Db } from "../rows/db.ts";
import type { Memory } from "../rows/memory.ts";
import { chips } from "../rows/schema.ts";
import { keptOf, namedStore } from "../rows/thingStore.ts";

type Row = typeof chips.$inferSelect;
type Fields = Omit<Chip, keyof Kept>;

const toChip = (row: Row): Chip => ({
  ...keptOf(row),
  name: row.name,
  kind: row.kind,
  tempLimitC: row.tempLimitC,
  warnMarginC: row.warnMarginC,
  voltageCeilingMv: fromThousandthsOrNull(row.voltageCeilingUv),
  stockClockMhz: fromThousandthsOrNull(row.stockClockKhz),
  stockVoltageMv: fromThousandthsOrNull(row.stockVoltageUv),
  clockStepMhz: fromThousandths(row.clockStepKhz),
  voltageStepMv: fromThousandths(row.voltageStepUv),
  sensorAccuracyC: row.sensorAccuracyC,
  note: row.note,
});

const toColumns = (chip: Fields) => ({
  name: chip.name,
  kind: chip.kind,
  tempLimitC: chip.tempLimitC,
  warnMarginC: chip.warnMarginC,
  voltageCeilingUv: toThousandthsOrNull(chip.voltageCeilingMv),
  stockClockKhz: toThousandthsOrNull(chip.stockClockMhz),
  stockVoltageUv: toThousandthsOrNull(chip.stockVoltageMv),
  clockStepKhz: toThousandths(chip.clockStepMhz),
  voltageStepUv: toThousandths(chip.voltageStepMv),
  sensorAccuracyC: chip.sensorAccuracyC,
  note: chip.note,
});

export const chipStore = (db: Db, memory: Memory) =>
  namedStore<Row, Chip, Fields>(db, chips, toChip, toColumns, memory);
