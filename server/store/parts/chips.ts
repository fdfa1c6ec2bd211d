import type { Chip } from "../../bench/things/chip.ts";
import type { Kept } from "../../bench/things/thing.ts";
import type { Writer } from "../rows/accounts.ts";
import {
  fromThousandths,
  fromThousandthsOrNull,
  toThousandths,
  toThousandthsOrNull,
} from "../rows/columns.ts";
import type { Db } from "../rows/db.ts";
import { keptOf } from "../rows/keptRows.ts";
import type { Memory } from "../rows/memory.ts";
import { chips } from "../rows/schema.ts";
import { namedStore } from "../rows/thingStore.ts";

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
  axis: row.axis,
  offset: row.offset,
  parts: row.parts ?? [],
  model: row.model,
  clockUnit: row.clockUnit,
  clockGrid: row.clockGrid ?? [],
  voltageName: row.voltageName,
  baseClockMhz: fromThousandthsOrNull(row.baseClockKhz),
  stockCurve: row.stockCurve ?? [],
  knobs: row.knobs ?? [],
  limits: row.limits ?? {},
  mainPlace: row.mainPlace,
  controlOffsetC: row.controlOffsetC,
  appliedBy: row.appliedBy,
  sharedSupply: row.sharedSupply,
  automaticVoltage: row.automaticVoltage,
  lowestTempC: row.lowestTempC,
  modules: row.modules,
  note: row.note,
});

const unlessEmpty = <Item>(list: readonly Item[]): readonly Item[] | null => (list.length > 0 ? list : null);

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
  axis: chip.axis,
  offset: chip.offset,
  parts: unlessEmpty(chip.parts),
  model: chip.model,
  clockUnit: chip.clockUnit,
  clockGrid: unlessEmpty(chip.clockGrid),
  voltageName: chip.voltageName,
  baseClockKhz: toThousandthsOrNull(chip.baseClockMhz),
  stockCurve: unlessEmpty(chip.stockCurve),
  knobs: unlessEmpty(chip.knobs),
  limits: Object.keys(chip.limits).length > 0 ? chip.limits : null,
  mainPlace: chip.mainPlace,
  controlOffsetC: chip.controlOffsetC,
  appliedBy: chip.appliedBy,
  sharedSupply: chip.sharedSupply,
  automaticVoltage: chip.automaticVoltage,
  lowestTempC: chip.lowestTempC,
  modules: chip.modules,
  note: chip.note,
});

export const chipStore = (db: Db, memory: Memory, writer: Writer) =>
  namedStore<Row, Chip, Fields>(db, chips, toChip, toColumns, memory, { list: "chips", writer });
