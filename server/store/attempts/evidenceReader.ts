import type { EvidenceRow } from "../../bench/things/evidenceRow.ts";
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
  outcome: EvidenceRow["outcome"],
  durationS: number | null,
  startedAt: number,
  plannedS: number | null,
  ambientC: number | null,
  loadTempC: number | null,
  peakTempC: number | null,
  startTempC: number | null,
  loadVoltageUv: number | null,
  powerW: number | null,
  powerAt: EvidenceRow["powerAt"],
  effectiveClockKhz: number | null,
  throttled: 0 | 1 | null,
  correctedErrors: number | null,
  startKind: EvidenceRow["startKind"],
  clockMode: EvidenceRow["clockMode"],
  failedFromS: number | null,
  failedToS: number | null,
  traced: 0 | 1,
];

/**
 * The slim rows a question about limits or heat reads: ended, not set aside, of one build, oldest first.
 * Thousands are read for one answer, so they are taken as the driver gives them: mapped column by column and spread,
 * they cost five times as much.
 */
export function evidenceReader(db: Db): (buildId: string) => EvidenceRow[] {
  const rows = whenAsked(() =>
    db
      .select({
        id: attempts.id,
        mountId: attempts.mountId,
        workloadId: attempts.workloadId,
        clockKhz: attempts.clockKhz,
        voltageUv: attempts.voltageUv,
        outcome: attempts.outcome,
        durationS: attempts.durationS,
        startedAt: attempts.startedAt,
        plannedS: attempts.plannedS,
        ambientC: attempts.ambientC,
        loadTempC: attempts.loadTempC,
        peakTempC: attempts.peakTempC,
        startTempC: attempts.startTempC,
        loadVoltageUv: attempts.loadVoltageUv,
        powerW: attempts.powerW,
        powerAt: attempts.powerAt,
        effectiveClockKhz: attempts.effectiveClockKhz,
        throttled: attempts.throttled,
        correctedErrors: attempts.correctedErrors,
        startKind: attempts.startKind,
        clockMode: attempts.clockMode,
        failedFromS: attempts.failedFromS,
        failedToS: attempts.failedToS,
        traced: attempts.traced,
      })
      .from(attempts)
      .where(countedRows)
      .orderBy(...oldestFirst)
      .prepare(),
  );
  return (buildId) => (rows().values({ build: buildId }) as RawRow[]).map(toEvidenceRow);
}

const toEvidenceRow = (row: RawRow): EvidenceRow => ({
  id: row[0],
  mountId: row[1],
  workloadId: row[2],
  clockMhz: fromThousandths(row[3]),
  voltageMv: fromThousandths(row[4]),
  outcome: row[5],
  durationS: row[6] ?? 0,
  startedAt: toInstant(row[7]),
  plannedS: row[8],
  ambientC: row[9],
  loadTempC: row[10],
  peakTempC: row[11],
  startTempC: row[12],
  loadVoltageMv: fromThousandthsOrNull(row[13]),
  powerW: row[14],
  powerAt: row[15],
  effectiveClockMhz: fromThousandthsOrNull(row[16]),
  throttled: row[17] === null ? null : row[17] === 1,
  correctedErrors: row[18],
  startKind: row[19],
  clockMode: row[20],
  failedFromS: row[21],
  failedToS: row[22],
  traced: row[23] === 1,
});
