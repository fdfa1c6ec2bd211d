import type { FrontierPoint } from "../frontier/frontierPoint.ts";
import type { Chip } from "../things/chip.ts";
import { stepAbove, stepBelow } from "../things/clockSteps.ts";
import type { EvidenceRow } from "../things/evidenceRow.ts";
import { outcomeClass } from "../things/outcome.ts";
import { clockWords, volts } from "../things/words.ts";

/** What the plain rule looks at: the record, the last attempt, and the voltage it was at. */
export type Bench = Readonly<{
  chip: Chip;
  rows: readonly EvidenceRow[];
  last: EvidenceRow;
  points: readonly FrontierPoint[];
  point: FrontierPoint;
}>;

export type StepPurpose = "screen" | "prove" | "resolve" | "map";

/** One setting worth trying. */
export type Step = Readonly<{
  clockMhz: number;
  voltageMv: number;
  purpose: StepPurpose;
  because: string;
  /** Where it is another than the rule asks. */
  durationS?: number;
}>;

/** What the record at the last attempt's voltage asks for, the most pressing first. */
export const stepFrom = (bench: Bench): Step =>
  afterHeat(bench) ??
  afterNothing(bench) ??
  overContested(bench) ??
  belowCrash(bench) ??
  upward(bench) ??
  higherVoltage(bench) ??
  proof(bench);

export const again = ({ clockMhz, voltageMv }: EvidenceRow): Step => ({
  clockMhz,
  voltageMv,
  purpose: "screen",
  because: "The last attempt says nothing of this setting yet, so run it.",
});

/** Heat ended the last attempt: the same clock with less voltage heats less. */
function afterHeat({ last, chip }: Bench): Step | null {
  if (outcomeClass(last.outcome) !== "thermal" || last.voltageMv <= chip.voltageStepMv + 100) return null;
  return {
    clockMhz: last.clockMhz,
    voltageMv: last.voltageMv - chip.voltageStepMv,
    purpose: "screen",
    because: "Heat ended the last attempt and the clock was never judged; one step less voltage heats less.",
  };
}

/** The last attempt decided nothing. */
function afterNothing({ last, point }: Bench): Step | null {
  const kind = outcomeClass(last.outcome);
  const crashedHere = (point.lowestCrashMhz ?? Number.POSITIVE_INFINITY) <= last.clockMhz;
  const passedHere = (point.highestPassedMhz ?? 0) >= last.clockMhz;
  if ((kind !== "stopped" && kind !== "nothing") || crashedHere || passedHere) return null;
  return {
    clockMhz: last.clockMhz,
    voltageMv: last.voltageMv,
    purpose: "screen",
    because: "The last attempt was ended before it could decide anything, so run it to its end.",
  };
}

/** A pass that a crash at an easier setting speaks against is run once more; then the crash stands. */
function overContested({ point, rows, chip }: Bench): Step | null {
  const contested = rows.filter(({ id }) => point.contested.includes(id));
  const lowest = contested.reduce<EvidenceRow | null>(
    (low, row) => (low === null || row.clockMhz < low.clockMhz ? row : low),
    null,
  );
  if (lowest === null) return null;
  const crash = rows.findLast(
    (row) =>
      outcomeClass(row.outcome) === "crash" &&
      row.voltageMv >= point.voltageMv &&
      row.clockMhz <= lowest.clockMhz,
  );
  const here = rows.filter((row) => row.voltageMv === point.voltageMv && row.clockMhz === lowest.clockMhz);
  const isDecided = here.some(
    (row) =>
      outcomeClass(row.outcome) === "crash" || (crash !== undefined && row.startedAt > crash.startedAt),
  );
  if (isDecided || crash === undefined) return null;
  return {
    clockMhz: lowest.clockMhz,
    voltageMv: point.voltageMv,
    purpose: "resolve",
    because: `${clockWords(lowest.clockMhz, chip.clockUnit)} passed here, yet ${clockWords(crash.clockMhz, chip.clockUnit)} crashed at ${volts(crash.voltageMv)}: one more run says which to believe.`,
  };
}

/** One step below the lowest crash, unless that is held already. */
function belowCrash({ point, chip }: Bench): Step | null {
  const crashMhz = point.lowestCrashMhz;
  if (crashMhz === null) return null;
  const clockMhz = stepBelow(crashMhz, chip);
  if (clockMhz < 1 || (point.heldMhz ?? 0) >= clockMhz) return null;
  return {
    clockMhz,
    voltageMv: point.voltageMv,
    purpose: "prove",
    because: `${clockWords(crashMhz, chip.clockUnit)} crashed at ${volts(point.voltageMv)}; one step below it was not proven yet.`,
  };
}

function upward({ point, chip }: Bench): Step | null {
  const passedMhz = point.highestPassedMhz;
  if (point.lowestCrashMhz !== null || passedMhz === null) return null;
  const clockMhz = stepAbove(passedMhz, chip);
  if (clockMhz === passedMhz) return null;
  return {
    clockMhz,
    voltageMv: point.voltageMv,
    purpose: "screen",
    because: `${clockWords(passedMhz, chip.clockUnit)} passed at ${volts(point.voltageMv)} and nothing has crashed there; one step up.`,
  };
}

/** This voltage is bracketed: does one step more of it carry the clock that crashed? */
function higherVoltage({ point, points, chip }: Bench): Step | null {
  const voltageMv = point.voltageMv + chip.voltageStepMv;
  const highestTriedMv = points.at(-1)?.voltageMv ?? point.voltageMv;
  const highestMv = chip.voltageCeilingMv ?? Math.max(highestTriedMv, chip.stockVoltageMv ?? 0);
  const isTried = points.some((one) => one.voltageMv >= voltageMv);
  if (voltageMv > highestMv || isTried || point.lowestCrashMhz === null || point.margin === "over")
    return null;
  return {
    clockMhz: point.lowestCrashMhz,
    voltageMv,
    purpose: "map",
    because: `${volts(point.voltageMv)} is decided: ${clockWords(point.heldMhz ?? 0, chip.clockUnit)} holds and ${clockWords(point.lowestCrashMhz, chip.clockUnit)} does not. One voltage step up may carry it.`,
  };
}

/** Nothing is left to find within the steps allowed: an hour on the best held setting. */
function proof({ points, point, last }: Bench): Step {
  const held = points.filter((one) => one.heldMhz !== null);
  const best = held.reduce<FrontierPoint | null>(
    (high, one) => ((one.heldMhz ?? 0) > (high?.heldMhz ?? 0) ? one : high),
    null,
  );
  const { heldMhz, voltageMv } = best ?? point;
  return {
    clockMhz: heldMhz ?? last.clockMhz,
    voltageMv,
    purpose: "prove",
    durationS: 3600,
    because: "The voltages tried are decided. An hour on the setting that holds says whether to rely on it.",
  };
}
