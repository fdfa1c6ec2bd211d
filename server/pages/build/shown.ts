import type { FastifyRequest } from "fastify";
import { answerOf, type BuildAnswer } from "../../answers/answerOf.ts";
import { type BuildAtHand, buildAsked } from "../../answers/buildAsked.ts";
import { type FrontierAnswer, frontierOfAsked } from "../../answers/frontierOfBuild.ts";
import { bestQuestion, latestAnswerTo, limitQuestion } from "../../answers/limitOfBuild.ts";
import type { BestAnswer } from "../../bench/best/bestSetting.ts";
import { lookedAt, type Trial } from "../../bench/frontier/evidence.ts";
import type { Frontier } from "../../bench/frontier/frontier.ts";
import type { LimitAnswer } from "../../bench/limit/limitCurve.ts";
import { orderTermsOf } from "../../bench/order/terms.ts";
import type { Picture } from "../../bench/pictures/picture.ts";
import type { BuildAim } from "../../bench/things/aim.ts";
import { goals, isSameAim, uses } from "../../bench/things/aim.ts";
import type { Attempt } from "../../bench/things/attempt.ts";
import type { Rule } from "../../bench/things/rule.ts";
import { extentsOf, type Plot } from "../../html/plot.ts";
import { idOf } from "../../requests/reading.ts";
import { idAsked, valueAsked } from "../kit/addressed.ts";
import { type Look, lookOf } from "../kit/buildLooks.ts";
import type { PageContext } from "../kit/context.ts";
import { limitPlot } from "../kit/limitPlot.ts";
import { clockTyped } from "../kit/quantityTyped.ts";
import { paths, withQuery } from "../paths.ts";
import type { Holding } from "./limitFigures.tsx";

export type BuildShown = Readonly<{
  asked: BuildAtHand;
  boardName: string;
  rules: readonly Rule[];
  frontier: FrontierAnswer;
  trials: readonly Trial[];
  newest: readonly Attempt[];
  hasMore: boolean;
  pictures: readonly Picture[];
  /** As last worked out; null where it never was. */
  limit: LimitAnswer | null;
  answer: BuildAnswer;
  /** Where the address asks another question than the build's own aim: that question, and its answer as last worked out. */
  another: Readonly<{ best: BestAnswer | null }> | null;
  /** Null where there is nothing to draw. */
  plot: Plot | null;
  wish: BuildAim;
  /** Whether other builds of the chip count as a start; null where there is none. */
  pooled: boolean | null;
  holding: Holding;
  /** What the address carries besides the wish. */
  kept: Readonly<Record<string, string>>;
  /** Where to ask for what is still being worked out; null where all is as the journal stands. */
  later: string | null;
}>;

const latest = 6;

const oneOf = <Word extends string>(words: readonly Word[], typed: string | null, usual: Word): Word =>
  words.find((word) => word === typed) ?? usual;

export function buildShown(request: FastifyRequest, { journal, reckonings }: PageContext): BuildShown {
  const ruleId = idAsked(request, "rule", "acceptance rule");
  const workloadId = idAsked(request, "workload", "workload");
  const buildId = idOf(request, "build");
  const aim = buildAsked(journal, { buildId }).build;
  const wish: BuildAim = {
    goal: oneOf(goals, valueAsked(request, "goal"), aim.goal),
    use: oneOf(uses, valueAsked(request, "use"), aim.use),
  };
  const isAlone = valueAsked(request, "pooled") === "no";
  const holding = holdingTyped(valueAsked(request, "holds"));
  const question = {
    ...{ buildId, ruleId, workloadId },
    ...(isAlone && { pooled: false }),
  };
  const asked = buildAsked(journal, question);
  const { build, workloads, workload } = asked;
  const { items, next } = journal.attempts.newestOf(build.id, latest);
  const isTried = items.length > 0;
  const isByClock = isTried && asked.chip.axis === "clock";
  const targetMhz = holding.clockMhz ?? undefined;
  const limit = isByClock
    ? latestAnswerTo(reckonings, limitQuestion(journal, { ...question, ...(targetMhz && { targetMhz }) }))
    : null;
  const isOwnAim = !isByClock || (isSameAim(wish, aim) && ruleId === null && workloadId === null && !isAlone);
  const best = !isOwnAim ? latestAnswerTo(reckonings, bestQuestion(journal, { ...question, ...wish })) : null;
  const answer = answerOf(journal, reckonings, buildId);
  const frontier = frontierOfAsked(journal, asked);
  const rows = isByClock ? journal.attempts.evidenceOf(build.id) : [];
  const { trials } = lookedAt(rows, workloads, workload, orderTermsOf(asked.chip));
  const kept = {
    ...(ruleId && { rule: ruleId }),
    ...(workloadId && { workload: workloadId }),
    ...(isAlone && { pooled: "no" }),
    ...(holding.typed !== "" && { holds: holding.typed }),
  };
  const isFresh =
    !isTried ||
    ((!isByClock || limit?.fresh === true) && !answer.reckoning && (isOwnAim || best?.fresh === true));
  return {
    asked,
    boardName: journal.boards.find(build.boardId)?.name ?? "a board",
    rules: journal.rules.all(),
    frontier,
    trials,
    newest: items,
    hasMore: next !== null,
    pictures: journal.pictures.of("builds", build.id),
    limit: limit?.answer ?? null,
    answer,
    another: isOwnAim ? null : { best: best?.answer ?? null },
    plot: plotOf(
      asked,
      lookOf(journal.builds.all(), asked.build.id),
      frontier,
      trials,
      limit?.answer ?? null,
    ),
    wish,
    pooled: journal.builds.ofChip(build.chipId).length > 1 ? !isAlone : null,
    holding,
    kept,
    later: isFresh ? null : withQuery(`${paths.build(build.id)}/limit`, { ...kept, ...wish }),
  };
}

function holdingTyped(typed: string | null): Holding {
  const clockMhz = clockTyped(typed ?? "");
  if (typed === null || clockMhz === null) return { typed: "", clockMhz: null, refused: null };
  return clockMhz >= 1 && clockMhz <= 20_000
    ? { typed, clockMhz, refused: null }
    : { typed, clockMhz: null, refused: "A clock lies between 1 and 20000 MHz." };
}

function plotOf(
  { build, chip }: BuildAtHand,
  { tone }: Look,
  { points }: Frontier,
  trials: readonly Trial[],
  limit: LimitAnswer | null,
): Plot | null {
  const { id: buildId, name } = build;
  const plot = limitPlot({
    ...{ buildId, name, tone, trials, points, limit },
    ceilingMv: chip.voltageCeilingMv,
    clockUnit: chip.clockUnit,
  });
  return points.length > 0 && extentsOf(plot) ? plot : null;
}
