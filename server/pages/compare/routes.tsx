import type { FastifyInstance, FastifyRequest } from "fastify";
import { buildAsked } from "../../answers/buildAsked.ts";
import { compareBuilds } from "../../answers/compareBuilds.ts";
import { latestLimits } from "../../answers/fittedLimits.ts";
import { frontierOfAsked } from "../../answers/frontierOfBuild.ts";
import { pageHtml } from "../../html/document.tsx";
import { idAsked } from "../addressed.ts";
import type { PageContext } from "../context.ts";
import { formAfter, type Refused } from "../forms.ts";
import { frameOf } from "../siteMap.ts";
import { ChoosePage, ComparePage, type ComparisonShown } from "./view.tsx";

type Asked = Readonly<{ a: string; b: string; rule: string | null; workload: string | null }>;

export function registerComparePage(app: FastifyInstance, context: PageContext): void {
  app.get("/compare", { schema: { hide: true } }, (request, reply) => {
    reply.type("text/html; charset=utf-8");
    const [a, b] = [idAsked(request, "a", "build"), idAsked(request, "b", "build")];
    if (a === null || b === null) return reply.send(choosePage(context, a, b, null));
    try {
      const shown = comparisonShown(askedIn(request, a, b), context);
      return reply.send(pageHtml(<ComparePage frame={frameOf(context, "compare")} shown={shown} />));
    } catch (error) {
      const { refused } = formAfter(error, {});
      return reply.code(400).send(choosePage(context, a, b, refused));
    }
  });
}

const askedIn = (request: FastifyRequest, a: string, b: string): Asked => ({
  a,
  b,
  rule: idAsked(request, "rule", "acceptance rule"),
  workload: idAsked(request, "workload", "workload"),
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

function comparisonShown({ a, b, rule, workload }: Asked, context: PageContext): ComparisonShown {
  const { journal, reckonings } = context;
  const question = { a, b, ruleId: rule ?? undefined, workloadId: workload ?? undefined };
  const { limits, fresh } = latestLimits(journal, reckonings, question);
  const compared = compareBuilds(journal, question, limits);
  const [first, second] = [a, b].map((buildId) =>
    buildAsked(journal, { buildId, ruleId: rule, workloadId: workload }),
  ) as [ReturnType<typeof buildAsked>, ReturnType<typeof buildAsked>];
  return {
    pair: { a: first.build, b: second.build },
    sameChip: first.chip.id === second.chip.id,
    chipName: first.chip.name,
    compared,
    isFresh: fresh,
    pointsA: frontierOfAsked(journal, first).points,
    pointsB: frontierOfAsked(journal, second).points,
    rules: journal.rules.all(),
    workloads: [...first.workloads.values()],
    ruleId: first.rule.id,
    ruleName: first.rule.name,
    workloadId: workload,
    choices: choicesIn(context),
  };
}
