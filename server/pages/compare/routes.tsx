import type { FastifyInstance, FastifyRequest } from "fastify";
import { buildAsked } from "../../answers/buildAsked.ts";
import { compareBuilds, runsKept } from "../../answers/compareBuilds.ts";
import { driftOfChip } from "../../answers/driftOfChip.ts";
import { latestLimits } from "../../answers/fittedLimits.ts";
import { frontierOfAsked } from "../../answers/frontierOfBuild.ts";
import { pageHtml } from "../../html/document.tsx";
import { idAsked, idsAsked } from "../addressed.ts";
import { loadNames } from "../attemptTable.tsx";
import type { PageContext } from "../context.ts";
import { formAfter, type Refused } from "../forms.ts";
import { sendPage } from "../sendPage.ts";
import { frameOf } from "../siteMap.ts";
import { ChoosePage } from "./choose.tsx";
import { type GivenAsked, givenIn } from "./given.tsx";
import { SeveralPage, type SeveralShown } from "./several.tsx";
import type { ComparisonShown } from "./shown.ts";
import { ComparePage } from "./view.tsx";

type Asked = Readonly<{
  a: string;
  b: string;
  rule: string | null;
  workload: string | null;
  given: GivenAsked;
}>;

export function registerComparePage(app: FastifyInstance, context: PageContext): void {
  app.get("/compare", { schema: { hide: true } }, (request, reply) => {
    const a = idAsked(request, "a", "build");
    const asked = idsAsked(request, "b", "build");
    const [b, ...more] = asked.length > 1 ? asked.filter((id) => id !== a) : asked;
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

const askedIn = (request: FastifyRequest, a: string, b: string): Asked => ({
  a,
  b,
  rule: idAsked(request, "rule", "acceptance rule"),
  workload: idAsked(request, "workload", "workload"),
  given: givenIn(request),
});

const choicesIn = ({ journal }: PageContext) =>
  journal.builds.all().map(({ id, name }) => ({ value: id, title: name }));

const choosePage = (
  context: PageContext,
  a: string | null,
  b: string | null,
  refused: Refused | null,
): string =>
  pageHtml(
    <ChoosePage
      frame={frameOf(context, "compare")}
      choices={choicesIn(context)}
      chosen={{ a, b }}
      refused={refused}
    />,
  );

/** More are not looked at in one page; nobody would read them. */
const mostCompared = 16;

function severalShown(
  { a, rule, workload, given }: Asked,
  bs: readonly string[],
  context: PageContext,
): SeveralShown {
  const { journal, reckonings } = context;
  const runsOf = runsKept(journal);
  const others = [...new Set(bs)].slice(0, mostCompared).map((b) => {
    const question = { a, b, ruleId: rule ?? undefined, workloadId: workload ?? undefined };
    const { limits } = latestLimits(journal, reckonings, question);
    const compared = compareBuilds(journal, question, limits, given.stated, runsOf);
    return { build: buildAsked(journal, { buildId: b }).build, compared };
  });
  return {
    a: buildAsked(journal, { buildId: a }).build,
    others,
    given,
    loads: loadNames(journal.workloads.all()),
    choices: choicesIn(context),
  };
}

function comparisonShown({ a, b, rule, workload, given }: Asked, context: PageContext): ComparisonShown {
  const { journal, reckonings } = context;
  const question = { a, b, ruleId: rule ?? undefined, workloadId: workload ?? undefined };
  const { limits, fresh } = latestLimits(journal, reckonings, question);
  const runsOf = runsKept(journal);
  const compared = compareBuilds(journal, question, limits, given.stated, runsOf);
  const [first, second] = [a, b].map((buildId) =>
    buildAsked(journal, { buildId, ruleId: rule, workloadId: workload }),
  ) as [ReturnType<typeof buildAsked>, ReturnType<typeof buildAsked>];
  return {
    pair: { a: first.build, b: second.build },
    sameChip: first.chip.id === second.chip.id,
    chipName: first.chip.name,
    chipId: first.chip.id,
    given,
    drift: driftOfChip(journal, first.chip.id, runsOf)[0]?.telling ?? null,
    siblings: journal.builds
      .ofChip(first.chip.id)
      .map(({ id }) => id)
      .filter((id) => id !== a)
      .slice(0, mostCompared),
    compared,
    isFresh: fresh,
    pointsA: frontierOfAsked(journal, first).points,
    pointsB: frontierOfAsked(journal, second).points,
    rules: journal.rules.all(),
    workloads: [...first.workloads.values()],
    ruleId: first.rule.id,
    ruleName: first.rule.name,
    askedRuleId: rule,
    workloadId: workload,
    choices: choicesIn(context),
  };
}
