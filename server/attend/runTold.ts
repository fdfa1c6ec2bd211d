import { type ErrorCounts, errorsSince } from "../kernel/errorCounts.ts";
import type { Ending } from "./ending.ts";
import { type MachineReading, traceRow } from "./reading.ts";
import type { EndTold, SecondTold } from "./runRecord.ts";
import { medianReading, type SettingCheck } from "./settingCheck.ts";

/** A spool must not grow without end where a load prints without end. */
const mostPrinted = 2048;

type Readings = Readonly<{
  /** Before the load had done anything. */
  first: MachineReading;
  latest: MachineReading;
}>;

type Second = Readings & Readonly<{ seq: number; t: number; printed: string }>;

/** A second of a run, as its spool keeps it. */
export function runSecondTold({ seq, t, printed, first, latest }: Second): SecondTold {
  return {
    kind: "second",
    seq,
    t,
    beat: beatOf(latest, errorsSince(first.corrected, latest.corrected)),
    row: traceRow(latest),
    ...(printed !== "" && { printed: printed.slice(-mostPrinted) }),
  };
}

function beatOf(
  { tempC, powerW, voltageMv, clockMhz }: MachineReading,
  corrected: ErrorCounts,
): SecondTold["beat"] {
  return {
    ...(tempC !== null && { tempC }),
    ...(powerW !== null && { powerW }),
    ...(voltageMv !== null && { loadVoltageMv: voltageMv }),
    ...(clockMhz !== null && { clockMhz }),
    ...(Object.keys(corrected).length > 0 && { correctedErrors: corrected }),
  };
}

type End = Readings &
  Readonly<{
    /** Null where somebody else has said how it ended. */
    ending: Ending | null;
    t: number;
    plannedS: number | null;
    endedAt: string;
    peakC: number | null;
    isProved: boolean;
    check: SettingCheck;
    output: string;
    bootId: string;
  }>;

/** How a run ended, and what is known of it besides. */
export function runEndTold({ ending, t, plannedS, endedAt, check, first, latest, ...known }: End): EndTold {
  const corrected = errorsSince(first.corrected, latest.corrected);
  return {
    kind: "end",
    outcome: ending?.outcome ?? null,
    durationS: ending?.outcome === "pass" ? Math.max(plannedS ?? t, 0) : t,
    endedAt,
    fields: {
      loadProved: known.isProved,
      settingReadBack: check.latest()?.says ?? "cannot-tell",
      output: known.output,
      ...(first.tempC !== null && { startTempC: first.tempC }),
      ...(known.peakC !== null && { peakTempC: known.peakC }),
      ...medianReading(check),
      ...(Object.keys(corrected).length > 0 && { correctedErrorsAt: corrected }),
      bootId: known.bootId,
    },
  };
}
