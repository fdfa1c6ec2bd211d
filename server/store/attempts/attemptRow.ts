import type { Attempt } from "../../bench/things/attempt.ts";
import type { Parts } from "../../bench/things/build.ts";
import type { Kept } from "../../bench/things/thing.ts";
import {
  fromThousandths,
  fromThousandthsOrNull,
  toInstant,
  toMs,
  toThousandths,
  toThousandthsOrNull,
} from "../rows/columns.ts";
import type { attempts } from "../rows/schema.ts";
import { keptOf } from "../rows/thingStore.ts";

export type AttemptRow = typeof attempts.$inferSelect;

/** What is written of an attempt; the parts it ran with are kept apart, as a state of its build. */
export type AttemptFields = Omit<Attempt, keyof Kept | "asBuilt"> & { readonly stateId: number };

export const toAttempt = (row: AttemptRow, asBuilt: Parts): Attempt => ({
  ...keptOf(row),
  buildId: row.buildId,
  mountId: row.mountId,
  workloadId: row.workloadId,
  clockMhz: fromThousandths(row.clockKhz),
  voltageMv: fromThousandths(row.voltageUv),
  outcome: row.outcome,
  durationS: row.durationS,
  startedAt: toInstant(row.startedAt),
  plannedS: row.plannedS,
  ambientC: row.ambientC,
  loadTempC: row.loadTempC,
  peakTempC: row.peakTempC,
  startTempC: row.startTempC,
  supplyTempC: row.supplyTempC,
  loadVoltageMv: fromThousandthsOrNull(row.loadVoltageUv),
  voltageReadAt: row.voltageReadAt,
  loadLine: row.loadLine,
  currentA: row.currentA,
  powerW: row.powerW,
  powerAt: row.powerAt,
  fanRpm: row.fanRpm,
  fanMode: row.fanMode,
  effectiveClockMhz: fromThousandthsOrNull(row.effectiveClockKhz),
  throttled: row.throttled,
  correctedErrors: row.correctedErrors,
  startKind: row.startKind,
  clockMode: row.clockMode,
  alsoSet: row.alsoSet ?? [],
  score: row.score,
  note: row.note,
  tags: row.tags ?? [],
  failedFromS: row.failedFromS,
  failedToS: row.failedToS,
  aboveCeiling: row.aboveCeiling,
  setAside:
    row.setAsideReason === null ? null : { reason: row.setAsideReason, at: toInstant(row.setAsideAt ?? 0) },
  asBuilt,
});

export const toAttemptColumns = (attempt: AttemptFields) => ({
  buildId: attempt.buildId,
  mountId: attempt.mountId,
  stateId: attempt.stateId,
  workloadId: attempt.workloadId,
  clockKhz: toThousandths(attempt.clockMhz),
  voltageUv: toThousandths(attempt.voltageMv),
  outcome: attempt.outcome,
  durationS: attempt.durationS,
  startedAt: toMs(attempt.startedAt),
  plannedS: attempt.plannedS,
  ambientC: attempt.ambientC,
  loadTempC: attempt.loadTempC,
  peakTempC: attempt.peakTempC,
  startTempC: attempt.startTempC,
  supplyTempC: attempt.supplyTempC,
  loadVoltageUv: toThousandthsOrNull(attempt.loadVoltageMv),
  voltageReadAt: attempt.voltageReadAt,
  loadLine: attempt.loadLine,
  currentA: attempt.currentA,
  powerW: attempt.powerW,
  powerAt: attempt.powerAt,
  fanRpm: attempt.fanRpm,
  fanMode: attempt.fanMode,
  effectiveClockKhz: toThousandthsOrNull(attempt.effectiveClockMhz),
  throttled: attempt.throttled,
  correctedErrors: attempt.correctedErrors,
  startKind: attempt.startKind,
  clockMode: attempt.clockMode,
  alsoSet: attempt.alsoSet.length > 0 ? attempt.alsoSet : null,
  score: attempt.score,
  note: attempt.note,
  tags: attempt.tags.length > 0 ? attempt.tags : null,
  failedFromS: attempt.failedFromS,
  failedToS: attempt.failedToS,
  aboveCeiling: attempt.aboveCeiling,
  setAsideReason: attempt.setAside?.reason ?? null,
  setAsideAt: attempt.setAside ? toMs(attempt.setAside.at) : null,
});
