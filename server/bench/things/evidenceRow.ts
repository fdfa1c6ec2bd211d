import type { Attempt } from "./attempt.ts";
import type { Setting } from "./setting.ts";

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
  "voltageReadAt",
  "powerW",
  "powerAt",
  "effectiveClockMhz",
  "throttled",
  "correctedErrors",
  "correctedErrorsAt",
  "startKind",
  "clockMode",
  "failedFromS",
  "failedToS",
  "offset",
  "offsets",
  "part",
  "crashPart",
  "knobs",
  "temps",
  "lowestTempC",
  "training",
  "starts",
  "cycles",
  "freshBoot",
  "settingReadBack",
] as const satisfies readonly (keyof Attempt)[];

/** That part of an attempt which has ended, whatever it was set by. */
export type TriedRow = Readonly<
  Pick<Attempt, (typeof evidenceFields)[number]> & {
    /** Ended attempts only: always known. */
    durationS: number;
    /** True where a sensor trace is kept with the attempt. */
    traced: boolean;
  }
>;

/** One that was set by clock and voltage. */
export type EvidenceRow = TriedRow & Setting;
