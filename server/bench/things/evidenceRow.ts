import type { Attempt } from "./attempt.ts";

/** The fields that the questions about limits and heat look at; read in bulk, so they are few. */
export const evidenceFields = [
  "id",
  "mountId",
  "workloadId",
  "clockMhz",
  "voltageMv",
  "outcome",
  "durationS",
  "startedAt",
  "plannedS",
  "ambientC",
  "loadTempC",
  "peakTempC",
  "startTempC",
  "loadVoltageMv",
  "powerW",
  "powerAt",
  "effectiveClockMhz",
  "throttled",
  "correctedErrors",
  "startKind",
  "clockMode",
  "failedFromS",
  "failedToS",
] as const satisfies readonly (keyof Attempt)[];

/** That part of an attempt which has ended. */
export type EvidenceRow = Readonly<
  Pick<Attempt, (typeof evidenceFields)[number]> & {
    /** Ended attempts only: always known. */
    durationS: number;
    /** True where a sensor trace is kept with the attempt. */
    traced: boolean;
  }
>;
