import { type LadderDesk, ladderAtVoltage, ladderDeskOf } from "../next/ladderDesk.ts";
import type { NextQuestion } from "../next/nextAnswer.ts";
import { type NextDesk, nextDeskOf } from "../next/nextDesk.ts";
import type { Use } from "../things/aim.ts";
import { type ScaleContext, type ScaleFit, scaleFitOf, scaleVoltageMv } from "./scaleFit.ts";

/** What is asked of a scale. */
export type ScaleQuestion = ScaleContext &
  Readonly<{
    use?: Use;
    workloadId?: string | null;
    /** Bench time there is. */
    minutes?: number | null;
    costs?: NextQuestion["costs"];
    /** Levels the tester passed over. */
    passedOver?: readonly number[];
  }>;

/** Fewer attempts than this say too little of a limit. */
const leastAttempts = 3;

/** Whether an answer would rest on too few attempts, those at other values of a knob among them. */
export const saysTooLittle = ({ rows, knobs }: ScaleQuestion): boolean =>
  rows.length + (knobs?.elsewhere.length ?? 0) < leastAttempts;

/** A scale with all that is believed of it: laid out as clocks, and what is said told in its own levels. */
export type ScaleDesk = Readonly<{
  question: ScaleQuestion;
  fitted: ScaleFit;
  desk: NextDesk;
  at: LadderDesk;
  levelOf: (rung: number) => number;
}>;

/** Null where there is nothing to start from. */
export function scaleDeskOf(question: ScaleQuestion): ScaleDesk | null {
  const fitted = scaleFitOf(question);
  if (fitted === null) return null;
  const { layout, asClock, fit } = fitted;
  const asked: NextQuestion = {
    ...asClock,
    voltageMv: scaleVoltageMv,
    workloadId: question.workloadId ?? null,
    use: question.use ?? "benchmark",
    minutes: question.minutes ?? null,
    ...(question.costs && { costs: question.costs }),
    passedOver: (question.passedOver ?? []).map((level) => ({
      clockMhz: layout.partsAt(level),
      voltageMv: scaleVoltageMv,
    })),
  };
  const free = nextDeskOf(asked, fit);
  const { scale } = question;
  const bound = scale.harder === "up" ? scale.high : scale.low;
  const hardest = bound === null ? Number.POSITIVE_INFINITY : layout.partsAt(bound);
  const desk: NextDesk = {
    ...free,
    warmth: { ...free.warmth, guardMv: 0, heatEnds: scale.harder === "up" ? free.warmth.heatEnds : [] },
    bounds: {
      ...free.bounds,
      highestMhz: Math.min(free.bounds.highestMhz ?? Number.POSITIVE_INFINITY, hardest),
    },
  };
  const at = ladderDeskOf(desk, ladderAtVoltage(scaleVoltageMv, desk.hazard));
  return {
    question,
    fitted,
    desk,
    at,
    levelOf: (rung) => layout.levelAt(at.ladder.settingAt(rung).clockMhz),
  };
}
