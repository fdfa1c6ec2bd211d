import type { Board } from "../things/board.ts";

/** What each core supply phase carries against what it is rated for. */
export type PhaseCurrent = Readonly<{
  perPhaseA: number;
  ratingA: number | null;
  /** Share of the rating; null where the board's rating is not known. */
  share: number | null;
  state: "ok" | "near" | "over" | "unknown";
  words: string;
}>;

/** Above this share of its rating a phase is near its limit (common practice: ratings hold for a cool, even supply). */
const nearShare = 0.7;

const phaseCaution =
  "Phases never share evenly and ratings hold for a cool supply. Keep air over it and watch its temperature.";

/** Undefined where the number of phases is not known. */
export function phaseCurrentOf(
  currentA: number,
  board: Pick<Board, "corePhases" | "phaseRatingA">,
): PhaseCurrent | undefined {
  if (board.corePhases === null || board.corePhases < 1) return undefined;
  const perPhaseA = currentA / board.corePhases;
  const ratingA = board.phaseRatingA;
  if (ratingA === null || ratingA <= 0)
    return {
      perPhaseA,
      ratingA: null,
      share: null,
      state: "unknown",
      words: `About ${perPhaseA.toFixed(0)} A a phase; the board's rating is not noted.`,
    };
  const share = perPhaseA / ratingA;
  const state = share > 1 ? "over" : share > nearShare ? "near" : "ok";
  return { perPhaseA, ratingA, share, state, words: stateWords(state, perPhaseA, ratingA) };
}

const stateWords = (state: "ok" | "near" | "over", perPhaseA: number, ratingA: number): string => {
  const figures = `about ${perPhaseA.toFixed(0)} of ${ratingA.toFixed(0)} A a phase`;
  if (state === "over") return `Over the board's rating: ${figures}. ${phaseCaution}`;
  return state === "near" ? `Near the board's rating: ${figures}. ${phaseCaution}` : `${figures}.`;
};
