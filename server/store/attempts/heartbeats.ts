import { and, eq, sql } from "drizzle-orm";
import type { Heartbeat, HeartbeatSource } from "../../bench/things/heartbeat.ts";
import { fromThousandthsOrNull, toInstant, toMs, toThousandthsOrNull } from "../rows/columns.ts";
import type { Db } from "../rows/db.ts";
import { heartbeats } from "../rows/schema.ts";
import { whenAsked } from "../rows/statements.ts";

export function heartbeatStore(db: Db) {
  const last = whenAsked(() =>
    db
      .select()
      .from(heartbeats)
      .where(
        and(
          eq(heartbeats.attemptId, sql.placeholder("attempt")),
          eq(heartbeats.source, sql.placeholder("source")),
        ),
      )
      .prepare(),
  );
  return {
    /** Keeps the furthest heartbeat of each source; one that arrives late or once more changes nothing. */
    beat(attemptId: string, beat: Heartbeat): void {
      const columns = {
        seq: beat.seq,
        elapsedS: beat.elapsedS,
        at: toMs(beat.at),
        tempC: beat.tempC,
        powerW: beat.powerW,
        loadVoltageUv: toThousandthsOrNull(beat.loadVoltageMv),
        clockKhz: toThousandthsOrNull(beat.clockMhz),
        correctedErrors: beat.correctedErrors,
        bootId: beat.bootId,
      };
      db.insert(heartbeats)
        .values({ attemptId, source: beat.from, ...columns })
        .onConflictDoUpdate({
          target: [heartbeats.attemptId, heartbeats.source],
          set: columns,
          setWhere: sql`excluded.elapsed_s > ${heartbeats.elapsedS}
          AND (excluded.seq IS NULL OR ${heartbeats.seq} IS NULL OR excluded.seq > ${heartbeats.seq})`,
        })
        .run();
    },
    lastHeartbeat(attemptId: string, source: HeartbeatSource): Heartbeat | undefined {
      const row = last().get({ attempt: attemptId, source });
      return (
        row && {
          from: row.source,
          seq: row.seq,
          elapsedS: row.elapsedS,
          at: toInstant(row.at),
          tempC: row.tempC,
          powerW: row.powerW,
          loadVoltageMv: fromThousandthsOrNull(row.loadVoltageUv),
          clockMhz: fromThousandthsOrNull(row.clockKhz),
          correctedErrors: row.correctedErrors,
          bootId: row.bootId,
        }
      );
    },
  };
}
