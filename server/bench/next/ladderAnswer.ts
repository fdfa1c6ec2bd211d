import type { Target } from "../limit/acceptance.ts";
import { chanceOfHours, type LimitDraws } from "../limit/limitReach.ts";
import type { Setting } from "../things/setting.ts";
import { hardestFrom, type Ladder } from "./ladder.ts";

/** What is believed of a ladder: the answer, the rungs its limit likely reaches, and whether that is near enough. */
export type LadderAnswer = Readonly<{
  /** The hardest rung that passes its hours with the chance asked and that nothing speaks against; null where none in reach does. */
  rung: number | null;
  /** The chance that the hours pass there, and one rung further. */
  chance: number;
  nextChance: number;
  /** Rungs that the limit reaches with a chance of nine in ten, and of one half; null where it may reach none. */
  sure: number | null;
  likely: number | null;
  /** The rung that it may reach yet, with a chance of one in fifty. */
  highest: number | null;
  /** Whether those two lie near enough to stop. */
  near: boolean;
}>;

const nothing: LadderAnswer = {
  rung: null,
  chance: 0,
  nextChance: 0,
  sure: null,
  likely: null,
  highest: null,
  near: false,
};

const sureChance = 0.9;

export function ladderAnswerOf(
  ladder: Ladder,
  draws: LimitDraws,
  { chance, hours }: Target,
  isRuledOut: (setting: Setting) => boolean,
): LadderAnswer {
  const last = ladder.lastAcceptable(draws);
  const likely = rungReached(last, draws.weights, 0.5);
  const sure = rungReached(last, draws.weights, sureChance);
  if (likely === null) return nothing;
  const passAt = (rung: number): number => chanceOfHours(draws, ladder.settingAt(rung), hours);
  const rung = hardestFrom(Math.min(likely + 2, ladder.hardest), ladder, (at) => passAt(at) >= chance);
  const answer = rung === null ? null : hardestFrom(rung, ladder, (at) => !isRuledOut(ladder.settingAt(at)));
  return {
    rung: answer,
    chance: answer === null ? 0 : passAt(answer),
    nextChance: answer === null ? 0 : passAt(answer + 1),
    sure,
    likely,
    highest: rungReached(last, draws.weights, 0.02),
    near: sure !== null && likely - sure <= ladder.nearEnough(likely),
  };
}

/** The hardest rung that the limit reaches with the chance given; null where that lies beyond every end. */
function rungReached(last: Float64Array, weights: Float64Array, chance: number): number | null {
  const order = Array.from(last.keys()).sort((a, b) => last[b]! - last[a]!);
  let reached = 0;
  for (const k of order) {
    reached += weights[k]!;
    if (reached >= chance) return Math.abs(last[k]!) < Infinity ? last[k]! : null;
  }
  return null;
}
