import type { ClockPoint } from "../frontier/frontierPoint.ts";
import type { Chip } from "../things/chip.ts";
import { clockWords, volts } from "../things/words.ts";
import type { Step } from "./plainSteps.ts";

const proofS = 3600;
/** No supply goes lower. */
const lowestMv = 100;

/**
 * One voltage step below the lowest that held a clock or a higher one, until a crash of that clock or a lower one stands in
 * the way; then an hour at what held. Null where nothing has held so high yet.
 */
export function stepDownFrom(byClock: readonly ClockPoint[], clockMhz: number, chip: Chip): Step | null {
  const heldMv = lowestOf(
    byClock.flatMap((point) => (point.clockMhz >= clockMhz ? (point.heldMv ?? []) : [])),
  );
  if (heldMv === null) return null;
  const crashes = byClock.flatMap((point) =>
    point.clockMhz <= clockMhz ? (point.highestCrashMv ?? []) : [],
  );
  const nextMv = Math.round((heldMv - chip.voltageStepMv) * 1000) / 1000;
  const isBlocked = nextMv < lowestMv || crashes.some((crashMv) => crashMv >= nextMv);
  const held = `${volts(heldMv)} held ${clockWords(clockMhz, chip.clockUnit)}`;
  return isBlocked
    ? {
        ...{ clockMhz, voltageMv: heldMv, purpose: "prove", durationS: proofS },
        because: `${held} and one step less did not. An hour there says whether to rely on it.`,
      }
    : {
        ...{ clockMhz, voltageMv: nextMv, purpose: "screen" },
        because: `${held}; one step less voltage was not tried yet.`,
      };
}

const lowestOf = (values: readonly number[]): number | null =>
  values.reduce<number | null>((least, value) => (least === null || value < least ? value : least), null);
