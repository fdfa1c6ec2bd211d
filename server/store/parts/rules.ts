import { type Rule, sinceAlways } from "../../bench/things/rule.ts";
import type { Kept } from "../../bench/things/thing.ts";
import type { Writer } from "../rows/accounts.ts";
import type { Db } from "../rows/db.ts";
import { keptOf } from "../rows/keptRows.ts";
import type { Memory } from "../rows/memory.ts";
import { rules } from "../rows/schema.ts";
import { namedStore } from "../rows/thingStore.ts";

type Row = typeof rules.$inferSelect;
type Fields = Omit<Rule, keyof Kept>;

const toRule = (row: Row): Rule => sinceAlways({ ...keptOf(row), name: row.name, requires: row.requires });
const toColumns = (rule: Fields) => ({ name: rule.name, requires: rule.requires });

export const ruleStore = (db: Db, memory: Memory, writer: Writer) =>
  namedStore<Row, Rule, Fields>(db, rules, toRule, toColumns, memory, { list: "rules", writer });
