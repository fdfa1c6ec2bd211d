import type { Attempt } from "./attempt.ts";

/** The part of an attempt that the questions about limits and heat look at; read in bulk, so it is kept slim. */
export type EvidenceRow = Readonly<
  Pick<
    Attempt,
    | "id"
    | "mountId"
    | "workloadId"
    | "clockMhz"
    | "voltageMv"
    | "outcome"
    | "startedAt"
    | "plannedS"
    | "ambientC"
    | "loadTempC"
    | "peakTempC"
    | "startTempC"
    | "loadVoltageMv"
    | "powerW"
    | "powerAt"
    | "effectiveClockMhz"
    | "throttled"
    | "correctedErrors"
    | "startKind"
    | "clockMode"
    | "failedFromS"
    | "failedToS"
  > & {
    /** Ended attempts only: always known. */
    durationS: number;
    /** True where a sensor trace is kept with the attempt. */
    traced: boolean;
  }
>;
