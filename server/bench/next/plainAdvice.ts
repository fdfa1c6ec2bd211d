import type { FrontierPoint } from "../frontier/frontierPoint.ts";
import type { Chip } from "../things/chip.ts";
import { stepBelow } from "../things/clockSteps.ts";
import { clockWords, volts } from "../things/words.ts";

type Held = FrontierPoint & Readonly<{ heldMhz: number }>;

/** The setting to run as far as the record alone can say, and what was passed over for it. */
export type PlainAdvice = Readonly<{
  clockMhz: number;
  voltageMv: number;
  heldMhz: number;
  marginC: number | null;
  passedOver: readonly Readonly<{ voltageMv: number; heldMhz: number; because: string }>[];
}>;

/**
 * Without a model the advice is one clock step below the highest held clock: the highest pass lies above the limit more
 * often than not. Only settings within the owner's ceiling and outside the warning margin are advised; among equal clocks
 * the lowest voltage. Undefined where nothing is left.
 */
export function plainAdvice(
  points: readonly FrontierPoint[],
  chip: Pick<Chip, "clockStepMhz" | "clockGrid" | "stockClockMhz" | "voltageCeilingMv" | "clockUnit">,
): PlainAdvice | undefined {
  const held = points.filter((point): point is Held => point.heldMhz !== null);
  const reasons = new Map(held.map((point) => [point, reasonAgainst(point, chip)]));
  const best = held
    .filter((point) => reasons.get(point) === null)
    .reduce<Held | undefined>(
      (top, point) => (top === undefined || point.heldMhz > top.heldMhz ? point : top),
      undefined,
    );
  if (best === undefined) return undefined;
  const { voltageMv, heldMhz, marginC } = best;
  const passedOver = held.flatMap((point) => {
    const because = reasons.get(point);
    return because && point.heldMhz > heldMhz
      ? [{ voltageMv: point.voltageMv, heldMhz: point.heldMhz, because }]
      : [];
  });
  return { clockMhz: stepBelow(heldMhz, chip), voltageMv, heldMhz, marginC, passedOver };
}

function reasonAgainst(point: Held, chip: Pick<Chip, "voltageCeilingMv" | "clockUnit">): string | null {
  const setting = `${clockWords(point.heldMhz, chip.clockUnit)} at ${volts(point.voltageMv)}`;
  if (chip.voltageCeilingMv !== null && point.voltageMv > chip.voltageCeilingMv)
    return `${setting} is above your voltage ceiling.`;
  if (point.margin === "over") return `${setting} would pass the temperature limit in the hottest room.`;
  if (point.margin === "tight") return `${setting} leaves less than the warning margin in the hottest room.`;
  return null;
}
