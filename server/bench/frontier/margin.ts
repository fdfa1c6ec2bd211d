import type { Chip } from "../things/chip.ts";
import type { EvidenceRow } from "../things/evidenceRow.ts";

export type MarginState = "ok" | "tight" | "over" | "unknown";

/** A run shorter than this, with no trace to show it, may not have levelled out (common practice: a quarter of an hour). */
export const levelledAfterS = 600;

/** Temperature limit minus load temperature, at the hottest room the owner plans for. */
export type MarginReading = Readonly<{
  loadTempC: number | null;
  marginC: number | null;
  margin: MarginState;
  /** The margin is taken against the room of the run itself, since no ambient was read. */
  withoutAmbient: boolean;
  /** Every run it rests on may have ended before the temperature levelled out. */
  tooShort: boolean;
}>;

export function marginState(marginC: number | null, warnMarginC: number): MarginState {
  if (marginC === null) return "unknown";
  if (marginC < 0) return "over";
  return marginC > warnMarginC ? "ok" : "tight";
}

const loadTempC = (pass: EvidenceRow): number | null => pass.loadTempC ?? pass.peakTempC;

/** What the passes at one setting say of its margin. */
export function marginOf(
  passes: readonly EvidenceRow[],
  chip: Pick<Chip, "tempLimitC" | "warnMarginC">,
  hottestAmbientC: number,
): MarginReading {
  const warm = passes.filter((pass) => loadTempC(pass) !== null);
  if (warm.length === 0)
    return { loadTempC: null, marginC: null, margin: "unknown", withoutAmbient: false, tooShort: false };
  const hottest = Math.max(...warm.map((pass) => loadTempC(pass) as number));
  const rises = warm.flatMap((pass) =>
    pass.ambientC === null ? [] : [(loadTempC(pass) as number) - pass.ambientC],
  );
  const atHottestRoomC = rises.length > 0 ? hottestAmbientC + Math.max(...rises) : hottest;
  const marginC = chip.tempLimitC - atHottestRoomC;
  return {
    loadTempC: hottest,
    marginC,
    margin: marginState(marginC, chip.warnMarginC),
    withoutAmbient: rises.length === 0,
    tooShort: warm.every((pass) => !pass.traced && pass.durationS < levelledAfterS),
  };
}
