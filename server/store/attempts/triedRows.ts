import { type RunRow, runFields, type TaggedRun } from "../../bench/runs/runRow.ts";
import { type EvidenceRow, evidenceFields, type TriedRow } from "../../bench/things/evidenceRow.ts";
import { rowsMemory } from "../../bench/things/rowsMemory.ts";
import { type AsSet, isSetByClock, type Setting } from "../../bench/things/setting.ts";
import type { Db } from "../rows/db.ts";
import type { Memory } from "../rows/memory.ts";
import { slimReader } from "./slimReader.ts";

/** What counts of a build's attempts, oldest first, in as few fields as are asked: the same array until one of them changes. */
export function triedRows(db: Db, memory: Memory) {
  const readEvidence = slimReader(db, [...evidenceFields, "traced"]);
  const readRuns = slimReader(db, [...runFields, "traced"]);
  const triedOf = (buildId: string): readonly TriedRow[] =>
    memory.recallRows("tried", readEvidence.rowsOf(buildId), buildId);
  const taggedRunsOf = (buildId: string): readonly TaggedRun[] =>
    memory.recallRows("tagged", readRuns.rowsOf(buildId), buildId);

  return {
    triedOf,
    /** The same, read a slice each time it is gone on with. */
    triedInTurn: (buildId: string): Generator<undefined, readonly TriedRow[]> =>
      memory.recallInTurn("tried", readEvidence.slicesOf(buildId), buildId),
    /** Of those the ones set by clock and voltage; the same array where all are. */
    evidenceOf: (buildId: string): readonly EvidenceRow[] => byClock(triedOf(buildId)),
    /** The same attempts with more of their fields, for comparing. */
    runsOf: (buildId: string): readonly RunRow[] => byClock(taggedRunsOf(buildId)),
    /** And those set by an offset, for what does not ask for a clock. */
    taggedRunsOf,
  };
}

const setByClock = rowsMemory<readonly (AsSet & Setting)[]>();
const byClock = <Row extends AsSet>(rows: readonly Row[]): readonly (Row & Setting)[] =>
  setByClock(rows, null, () =>
    rows.every(isSetByClock) ? rows : rows.filter(isSetByClock),
  ) as readonly (Row & Setting)[];
