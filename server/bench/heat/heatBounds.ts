import { type Chip, readLimitC } from "../things/chip.ts";
import type { TriedRow } from "../things/evidenceRow.ts";

/** How warm the main place may be read before it, or any other place with a limit of its own, reaches its limit. */
export type HeatBounds = Readonly<{
  /** What is left at the place that has least, with the main place read so warm in a room. */
  leastMargin: (
    mainC: number,
    roomC: number,
  ) => Readonly<{ marginC: number; place: string | null; limitC: number }>;
}>;

type Read = Pick<TriedRow, "ambientC" | "loadTempC" | "temps">;

/** Below this rise a share of it says little (common practice). */
const leastRiseC = 5;

/**
 * Each place rises with the main one, by the mean share that its runs showed; where nothing was read beside it nothing is
 * said of it. A limit is of the true temperature: where the main sensor tells a control value, that may read higher.
 */
export function heatBoundsOf(
  chip: Pick<Chip, "tempLimitC" | "controlOffsetC" | "limits">,
  rows: readonly Read[],
): HeatBounds {
  const shares = Object.entries(chip.limits).flatMap(([place, limitC]) => {
    const share = shareOfRise(rows, place, chip.controlOffsetC ?? 0);
    return share === null ? [] : [{ place, limitC, share }];
  });
  return {
    leastMargin: (mainC, roomC) => {
      const riseC = mainC - (chip.controlOffsetC ?? 0) - roomC;
      let least: ReturnType<HeatBounds["leastMargin"]> = {
        ...{ marginC: readLimitC(chip) - mainC, place: null, limitC: readLimitC(chip) },
      };
      for (const { place, limitC, share } of shares) {
        const marginC = limitC - (roomC + share * Math.max(0, riseC));
        if (marginC < least.marginC) least = { marginC, place, limitC };
      }
      return least;
    },
  };
}

function shareOfRise(rows: readonly Read[], place: string, controlC: number): number | null {
  const shares = rows.flatMap(({ ambientC, loadTempC, temps }) => {
    if (ambientC === null || loadTempC === null || temps === null || !Object.hasOwn(temps, place)) return [];
    const riseC = loadTempC - controlC - ambientC;
    return riseC < leastRiseC ? [] : [((temps[place] as number) - ambientC) / riseC];
  });
  return shares.length === 0 ? null : shares.reduce((sum, share) => sum + share, 0) / shares.length;
}
