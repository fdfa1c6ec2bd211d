import type { Board } from "../../bench/things/board.ts";
import type { Kept } from "../../bench/things/thing.ts";
import type { Writer } from "../rows/accounts.ts";
import type { Db } from "../rows/db.ts";
import { keptOf } from "../rows/keptRows.ts";
import type { Memory } from "../rows/memory.ts";
import { boards } from "../rows/schema.ts";
import { namedStore } from "../rows/thingStore.ts";

type Row = typeof boards.$inferSelect;
type Fields = Omit<Board, keyof Kept>;

const fieldsOf = (board: Fields): Fields => ({
  name: board.name,
  formFactor: board.formFactor,
  corePhases: board.corePhases,
  phaseRatingA: board.phaseRatingA,
  supplyTempLimitC: board.supplyTempLimitC,
  note: board.note,
});

const toBoard = (row: Row): Board => ({ ...keptOf(row), ...fieldsOf(row) });

export const boardStore = (db: Db, memory: Memory, writer: Writer) =>
  namedStore<Row, Board, Fields>(db, boards, toBoard, fieldsOf, memory, { list: "boards", writer });
