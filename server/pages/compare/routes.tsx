import type { FastifyInstance, FastifyRequest } from "fastify";
import { answerOf } from "../../answers/answerOf.ts";
import { buildAsked } from "../../answers/buildAsked.ts";
import { compareBuilds } from "../../answers/compareBuilds.ts";
import { driftOfChip } from "../../answers/driftOfChip.ts";
import { type LimitAt, latestLimits } from "../../answers/fittedLimits.ts";
import { frontierOfAsked } from "../../answers/frontierOfBuild.ts";
import type { FrontierPoint } from "../../bench/frontier/frontierPoint.ts";
import { missing } from "../../bench/things/refusal.ts";
import { fragmentHtml, pageHtml } from "../../html/document.tsx";
import type { BandPoint } from "../../html/plot.ts";
import { idAsked, idsAsked } from "../kit/addressed.ts";
import { loadNames } from "../kit/attemptTable.tsx";
import { looksApart } from "../kit/buildLooks.ts";
import type { PageContext } from "../kit/context.ts";
import { formAfter, type Refused } from "../kit/forms.ts";
import { sendPage } from "../kit/sendPage.ts";
import { paths } from "../paths.ts";
import { frameOf } from "../siteMap.ts";
import { ChooseBuildsPage } from "./choose.tsx";
import { type GivenTyped, givenIn } from "./given.tsx";
import { SeveralPage, type SeveralShown } from "./several.tsx";
import type { ComparisonShown } from "./shown.ts";
import { ComparePage, ComparisonPiece } from "./view.tsx";

type PairTyped = Readonly<{
  a: string;
  b: string;
  rule: string | null;
  workload: string | null;
  given: GivenTyped;
}>;

export function registerComparePage(app: FastifyInstance, context: PageContext): void {
  registerFitted(app, context);
  app.get("/compare", { schema: { hide: true } }, (request, reply) => {
    const a = idAsked(request, "a", "build");
    const asked = idsAsked(request, "b", "build");
    const [b, ...more] = asked.length > 1 ? asked.filter((id) => id !== a) : asked;
    const only = a === null && b === undefined ? onlyPair(context) : null;
    if (only !== null) return reply.redirect(paths.compare(only), 303);
    if (a === null || b === undefined) return sendPage(reply, choosePage(context, a, b ?? null, null));
    if (more.length > 0) {
      const shown = severalShown(askedIn(request, a, b), [b, ...more], context);
      return sendPage(reply, pageHtml(<SeveralPage frame={frameOf(context, "compare")} shown={shown} />));
    }
    try {
      const shown = comparisonShown(askedIn(request, a, b), context);
      return sendPage(reply, pageHtml(<ComparePage frame={frameOf(context, "compare")} shown={shown} />));
    } catch (error) {
      const { refused } = formAfter(error, {});
      return sendPage(reply, choosePage(context, a, b, refused), 400);
    }
  });
}

/** The comparison of a pair once its limits are fitted; 204 until then. */
function registerFitted(app: FastifyInstance, context: PageContext): void {
  app.get(paths.fittedComparison(), { schema: { hide: true } }, (request, reply) => {
    const [a, b] = [idAsked(request, "a", "build"), idAsked(request, "b", "build")];
    if (a === null || b === null) throw missing("build");
    const shown = comparisonShown(askedIn(request, a, b), context);
    if (!shown.isFresh) return reply.code(204).send();
    return sendPage(reply, fragmentHtml(<ComparisonPiece shown={shown} />));
  });
}

const askedIn = (request: FastifyRequest, a: string, b: string): PairTyped => ({
  a,
  b,
  rule: idAsked(request, "rule", "acceptance rule"),
  workload: idAsked(request, "workload", "workload"),
  given: givenIn(request),
});

/** Where there are two builds, of one chip, nothing is to be chosen. */
function onlyPair({ journal }: PageContext): Readonly<{ a: string; b: string }> | null {
  const [a, b, ...others] = journal.builds.all();
  return a && b && others.length === 0 && a.chipId === b.chipId ? { a: a.id, b: b.id } : null;
}

const choicesIn = ({ journal }: PageContext) =>
  journal.builds.all().map(({ id, name }) => ({ value: id, title: name }));

const choosePage = (
  context: PageContext,
  a: string | null,
  b: string | null,
  refused: Refused | null,
): string =>
  pageHtml(
    <ChooseBuildsPage
      frame={frameOf(context, "compare")}
      choices={choicesIn(context)}
      chosen={{ a, b }}
      refused={refused}
    />,
  );

/** More are not looked at in one page; nobody would read them. */
const mostCompared = 16;

function severalShown(
  { a, rule, workload, given }: PairTyped,
  bs: readonly string[],
  context: PageContext,
): SeveralShown {
  const { journal, reckonings } = context;
  const others = [...new Set(bs)].slice(0, mostCompared).map((b) => {
    const question = { a, b, ruleId: rule ?? undefined, workloadId: workload ?? undefined };
    const { limits } = latestLimits(journal, reckonings, question);
    const compared = compareBuilds(journal, question, limits, given.stated);
    return {
      build: buildAsked(journal, { buildId: b }).build,
      compared,
      answer: answerOf(journal, reckonings, b),
    };
  });
  return {
    a: buildAsked(journal, { buildId: a }).build,
    answer: answerOf(journal, reckonings, a),
    others,
    given,
    loads: loadNames(journal.workloads.all()),
    choices: choicesIn(context),
  };
}

function comparisonShown({ a, b, rule, workload, given }: PairTyped, context: PageContext): ComparisonShown {
  const { journal, reckonings } = context;
  const question = { a, b, ruleId: rule ?? undefined, workloadId: workload ?? undefined };
  const { limits, fresh } = latestLimits(journal, reckonings, question);
  const compared = compareBuilds(journal, question, limits, given.stated);
  const [first, second] = [a, b].map((buildId) =>
    buildAsked(journal, { buildId, ruleId: rule, workloadId: workload }),
  ) as [ReturnType<typeof buildAsked>, ReturnType<typeof buildAsked>];
  const answers = [answerOf(journal, reckonings, a), answerOf(journal, reckonings, b)] as const;
  const [pointsA, pointsB] = [
    frontierOfAsked(journal, first).points,
    frontierOfAsked(journal, second).points,
  ];
  return {
    curves: { a: curveOf(limits.a, pointsA), b: curveOf(limits.b, pointsB) },
    pair: { a: first.build, b: second.build },
    sameChip: first.chip.id === second.chip.id,
    chipName: first.chip.name,
    chipId: first.chip.id,
    given,
    drift: driftOfChip(journal, first.chip.id)[0]?.telling ?? null,
    siblings: journal.builds
      .ofChip(first.chip.id)
      .map(({ id }) => id)
      .filter((id) => id !== a)
      .slice(0, mostCompared),
    compared,
    answers,
    isFresh: fresh && answers.every(({ reckoning }) => !reckoning),
    looks: looksApart(journal.builds.all(), [a, b]),
    pointsA,
    pointsB,
    rules: journal.rules.all(),
    workloads: [...first.workloads.values()],
    ruleId: first.rule.id,
    ruleName: first.rule.name,
    askedRuleId: rule,
    workloadId: workload,
    choices: choicesIn(context),
  };
}

const curveStepMv = 12.5;

/** A fitted limit over the voltages that were tried, for a band. */
function curveOf(limitAt: LimitAt | undefined, points: readonly FrontierPoint[]): BandPoint[] {
  const [first, last] = [points[0], points.at(-1)];
  if (!limitAt || !first || !last) return [];
  const steps = Math.floor((last.voltageMv - first.voltageMv) / curveStepMv);
  return Array.from({ length: steps + 1 }, (_, i) => first.voltageMv + i * curveStepMv).flatMap(
    (voltageMv): BandPoint[] => {
      const limit = limitAt(voltageMv);
      return !limit ? [] : [[voltageMv / 1000, limit.lowMhz, limit.highMhz]];
    },
  );
}
