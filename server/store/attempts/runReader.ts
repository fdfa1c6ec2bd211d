import type { RunRow } from "../../bench/runs/runRow.ts";
import { fromThousandths, fromThousandthsOrNull, toInstant } from "../rows/columns.ts";
import type { Db } from "../rows/db.ts";
import { attempts } from "../rows/schema.ts";
import { whenAsked } from "../rows/whenAsked.ts";
import { countedRows, oldestFirst } from "./countedRows.ts";

/** A row as the driver gives it, in the order of the columns below. */
type RawRow = [
  id: string,
  mountId: string,
  workloadId: string,
  clockKhz: number,
  voltageUv: number,
  outcome: RunRow["outcome"],
  startedAt: number,
  durationS: number | null,
  ambientC: number | null,
  loadTempC: number | null,
  peakTempC: number | null,
  startTempC: number | null,
  supplyTempC: number | null,
  loadVoltageUv: number | null,
  voltageReadAt: RunRow["voltageReadAt"],
  loadLine: string | null,
  currentA: number | null,
  powerW: number | null,
  powerAt: RunRow["powerAt"],
  fanRpm: number | null,
  effectiveClockKhz: number | null,
  throttled: 0 | 1 | null,
  correctedErrors: number | null,
  clockMode: RunRow["clockMode"],
  score: number | null,
  tags: string | null,
  traced: 0 | 1,
];

/** The slim rows of one build, oldest first. Tens of thousands are read for one comparison, so as the driver gives them. */
export function runReader(db: Db): (buildId: string) => RunRow[] {
  const rows = whenAsked(() =>
    db
      .select({
        id: attempts.id,
        mountId: attempts.mountId,
        workloadId: attempts.workloadId,
        clockKhz: attempts.clockKhz,
        voltageUv: attempts.voltageUv,
        outcome: attempts.outcome,
        startedAt: attempts.startedAt,
        durationS: attempts.durationS,
        ambientC: attempts.ambientC,
        loadTempC: attempts.loadTempC,
        peakTempC: attempts.peakTempC,
        startTempC: attempts.startTempC,
        supplyTempC: attempts.supplyTempC,
        loadVoltageUv: attempts.loadVoltageUv,
        voltageReadAt: attempts.voltageReadAt,
        loadLine: attempts.loadLine,
        currentA: attempts.currentA,
        powerW: attempts.powerW,
        powerAt: attempts.powerAt,
        fanRpm: attempts.fanRpm,
        effectiveClockKhz: attempts.effectiveClockKhz,
        throttled: attempts.throttled,
        correctedErrors: attempts.correctedErrors,
        clockMode: attempts.clockMode,
        score: attempts.score,
        tags: attempts.tags,
        traced: attempts.traced,
      })
      .from(attempts)
      .where(countedRows)
      .orderBy(...oldestFirst)
      .prepare(),
  );
  return (buildId) => (rows().values({ build: buildId }) as RawRow[]).map(toRunRow);
}

const noTags: readonly string[] = [];

const toRunRow = (row: RawRow): RunRow => ({
  id: row[0],
  mountId: row[1],
  workloadId: row[2],
  clockMhz: fromThousandths(row[3]),
  voltageMv: fromThousandths(row[4]),
  outcome: row[5],
  startedAt: toInstant(row[6]),
  durationS: row[7],
  ambientC: row[8],
  loadTempC: row[9],
  peakTempC: row[10],
  startTempC: row[11],
  supplyTempC: row[12],
  loadVoltageMv: fromThousandthsOrNull(row[13]),
  voltageReadAt: row[14],
  loadLine: row[15],
  currentA: row[16],
  powerW: row[17],
  powerAt: row[18],
  fanRpm: row[19],
  effectiveClockMhz: fromThousandthsOrNull(row[20]),
  throttled: row[21] === null ? null : row[21] === 1,
  correctedErrors: row[22],
  clockMode: row[23],
  score: row[24],
  tags: row[25] === null ? noTags : (JSON.parse(row[25]) as readonly string[]),
  traced: row[26] === 1,
});
