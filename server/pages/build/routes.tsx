import type { FastifyInstance, FastifyRequest } from "fastify";
import { buildAsked } from "../../answers/buildAsked.ts";
import { frontierOfAsked } from "../../answers/frontierOfBuild.ts";
import { lookedAt } from "../../bench/evidence.ts";
import { missing } from "../../bench/refusal.ts";
import { fragmentHtml, pageHtml } from "../../html/document.tsx";
import { idAsked, idIn, numberAsked, valueAsked } from "../addressed.ts";
import type { PageContext } from "../context.ts";
import { wantsPiece } from "../forms.ts";
import { frameOf } from "../siteMap.ts";
import { AttemptRows, AttemptsPage, type AttemptsShown } from "./attemptsView.tsx";
import { BuildPage, type BuildShown } from "./view.tsx";

const html = "text/html; charset=utf-8";
const latest = 6;
const pageLength = 50;

export function registerBuildPages(app: FastifyInstance, context: PageContext): void {
  app.get("/builds/:id", { schema: { hide: true } }, (request, reply) =>
    reply
      .type(html)
      .send(pageHtml(<BuildPage frame={frameOf(context, "builds")} shown={buildShown(request, context)} />)),
  );

  app.get("/builds/:id/attempts", { schema: { hide: true } }, (request, reply) => {
    const shown = attemptsShown(request, context);
    reply.type(html).header("vary", "HX-Request");
    return wantsPiece(request.headers)
      ? reply.send(fragmentHtml(<AttemptRows shown={shown} />))
      : reply.send(pageHtml(<AttemptsPage frame={frameOf(context, "builds")} shown={shown} />));
  });
}

function buildShown(request: FastifyRequest, { journal }: PageContext): BuildShown {
  const asked = buildAsked(journal, {
    buildId: idIn(request, "build"),
    ruleId: idAsked(request, "rule", "acceptance rule"),
    workloadId: idAsked(request, "workload", "workload"),
  });
  const { build, workloads, workload } = asked;
  const { items, next } = journal.attempts.pageOf(build.id, { limit: latest, after: null });
  return {
    asked,
    boardName: journal.boards.find(build.boardId)?.name ?? "a board",
    rules: journal.rules.all(),
    frontier: frontierOfAsked(journal, asked),
    trials: lookedAt(journal.attempts.evidenceOf(build.id), workloads, workload).trials,
    newest: items,
    hasMore: next !== null,
  };
}

function attemptsShown(request: FastifyRequest, { journal }: PageContext): AttemptsShown {
  const build = journal.builds.find(idIn(request, "build"));
  if (!build) throw missing("build");
  const narrowing = {
    clockMhz: numberAsked(request, "clockMhz"),
    voltageMv: numberAsked(request, "voltageMv"),
    workload: idAsked(request, "workload", "workload"),
  };
  const page = journal.attempts.pageOf(build.id, {
    limit: pageLength,
    after: valueAsked(request, "after"),
    clockMhz: narrowing.clockMhz ?? undefined,
    voltageMv: narrowing.voltageMv ?? undefined,
    workloadId: narrowing.workload ?? undefined,
  });
  return { build, workloads: journal.workloads.all(), narrowing, items: page.items, next: page.next };
}
