import { type KnobStep, knobStepsOf } from "../limit/knobSteps.ts";
import { chanceOfHours, clocksAtHazard, limitDrawsOf } from "../limit/limitReach.ts";
import { ladderAnswerOf } from "../next/ladderAnswer.ts";
import { hasRun } from "../next/ladderDesk.ts";
import { nearerOf } from "../next/moreToGain.ts";
import { isRuledOutAt } from "../next/nextDesk.ts";
import { marginAt } from "../next/warmth.ts";
import { hardnessOf } from "../order/partsOfRun.ts";
import { outcomeClass } from "../things/outcome.ts";
import { type HardestSeen, hardestSeenOf } from "./hardestSeen.ts";
import { type ScaleDesk, type ScaleQuestion, saysTooLittle, scaleDeskOf } from "./scaleDesk.ts";
import { scaleVoltageMv } from "./scaleFit.ts";
import type { NearerOnScale } from "./scaleNext.ts";

/** What to set along a scale: the hardest level that ran, whose hours pass with the chance asked and that nothing contests. */
export type ScaleAnswer = Readonly<{
  state: "looking" | "enough" | "done" | "too-little";
  setting: Readonly<{
    level: number;
    chance: number;
    hours: number;
    ranS: number;
    marginC: number | null;
    workloadId: string | null;
  }> | null;
  /** A harder level that likely is the answer and has not run. */
  worthTrying: Readonly<{ level: number; chance: number }> | null;
  /** What passed at a harder level than that. */
  hardestSeen: HardestSeen | null;
  nearer: NearerOnScale | null;
  /** What one step of each knob that was tried at more than one value would buy, in the scale's own unit. */
  knobs: readonly KnobStep[];
  taughtBy: readonly string[];
}>;

const nothing: ScaleAnswer = {
  state: "too-little",
  setting: null,
  worthTrying: null,
  hardestSeen: null,
  nearer: null,
  knobs: [],
  taughtBy: [],
};

export function scaleAnswerOf(question: ScaleQuestion): ScaleAnswer {
  const found = scaleDeskOf(question);
  if (found === null || saysTooLittle(question)) return nothing;
  const { desk, at, fitted, levelOf } = found;
  const { ladder, answer, all } = at;
  const isRuledOut = isRuledOutAt(desk);
  const { rung } = ladderAnswerOf(
    ladder,
    all,
    desk.wanted,
    (setting) => isRuledOut(setting) || !hasRun(desk, setting),
  );
  const gain = nearerOf(desk, at);
  const isProved = answer.rung !== null && answer.rung === rung;
  const isHarder = answer.rung !== null && (rung === null || answer.rung > rung);
  const tells = (rung: number): boolean => failedAsItCame(question) || !isEasierThanItCame(rung);
  return {
    state: !at.settled ? "looking" : isProved ? "done" : "enough",
    setting: rung === null || !tells(rung) ? null : settingAt(rung),
    worthTrying:
      isHarder && tells(answer.rung as number)
        ? { level: levelOf(answer.rung as number), chance: answer.chance }
        : null,
    hardestSeen: hardestSeenOf(found, rung === null ? null : levelOf(rung)),
    nearer: gain && {
      minutes: gain.minutes,
      gain: ((gain.gainMhz ?? 0) / fitted.layout.stepParts) * question.scale.step,
    },
    knobs: knobsAlong(found),
    taughtBy: desk.fit.taughtBy,
  };

  function isEasierThanItCame(rung: number): boolean {
    const { harder, usual } = question.scale;
    return hardnessOf(levelOf(rung), harder) < hardnessOf(usual, harder);
  }

  function settingAt(rung: number): ScaleAnswer["setting"] {
    const setting = ladder.settingAt(rung);
    const { hours } = desk.wanted;
    const forecast = desk.fit.heat.law?.forecast({
      ...setting,
      voltageMv: scaleVoltageMv,
      workloadId: desk.workloadId,
      ambientC: question.hottestAmbientC,
    });
    return {
      level: levelOf(rung),
      chance: chanceOfHours(all, setting, hours),
      hours,
      ranS: desk.proven.longestS(setting),
      marginC: forecast === undefined ? null : marginAt(desk.warmth, forecast.mid),
      workloadId: desk.workloadId,
    };
  }
}

/** Only then may it be told to set it easier than it came: before that, little is known of it, not much against it. */
const failedAsItCame = ({ rows, scale: { harder, usual } }: ScaleQuestion): boolean =>
  rows.some(
    ({ row, level }) =>
      outcomeClass(row.outcome) === "crash" && hardnessOf(level, harder) <= hardnessOf(usual, harder),
  );

/** What moving a knob is worth, in the scale's own unit. */
function knobsAlong({ desk, question, fitted }: ScaleDesk): KnobStep[] {
  const { fit, workloadId, hazard } = desk;
  const inLevels = (parts: number): number => (parts / fitted.layout.stepParts) * question.scale.step;
  return knobStepsOf(fit, {
    knobs: question.chip.knobs,
    asSet: question.rows.at(-1)?.row.knobs ?? null,
    limits: (draws) => clocksAtHazard(limitDrawsOf(fit, draws, workloadId), scaleVoltageMv, hazard),
  }).map((step) => ({
    ...step,
    gain: inLevels(step.gain),
    low: inLevels(step.low),
    high: inLevels(step.high),
  }));
}
