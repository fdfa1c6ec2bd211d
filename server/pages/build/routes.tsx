import type { FastifyInstance, FastifyRequest } from "fastify";
import { missing } from "../../bench/things/refusal.ts";
import { fragmentHtml, pageHtml } from "../../html/document.tsx";
import { idOf } from "../../requests/reading.ts";
import { idAsked, numberAsked, valueAsked } from "../kit/addressed.ts";
import { answersSoon } from "../kit/answersSoon.ts";
import type { PageContext } from "../kit/context.ts";
import { wantsPiece } from "../kit/forms.ts";
import { sendPage } from "../kit/sendPage.ts";
import { frameOf } from "../siteMap.ts";
import { AttemptRows, AttemptsPage, type AttemptsShown } from "./attemptsView.tsx";
import { LimitPieces } from "./pieces.tsx";
import { buildShown } from "./shown.ts";
import { BuildPage } from "./view.tsx";

const pageLength = 40;

export function registerBuildPages(app: FastifyInstance, context: PageContext): void {
  const hidden = { schema: { hide: true } };

  app.get("/builds/:id", hidden, async (request, reply) => {
    await answersSoon(context, [idOf(request, "build")]);
    const shown = buildShown(request, context);
    return sendPage(reply, pageHtml(<BuildPage frame={frameOf(context, "builds")} shown={shown} />));
  });

  app.get("/builds/:id/limit", hidden, (request, reply) => {
    const shown = buildShown(request, context);
    if (shown.later !== null) return reply.code(204).send();
    return sendPage(reply, fragmentHtml(<LimitPieces shown={shown} />));
  });

  app.get("/builds/:id/attempts", hidden, (request, reply) => {
    const shown = attemptsShown(request, context);
    return sendPage(
      reply.header("vary", "HX-Request"),
      wantsPiece(request.headers)
        ? fragmentHtml(<AttemptRows shown={shown} />)
        : pageHtml(<AttemptsPage frame={frameOf(context, "builds")} shown={shown} />),
    );
  });
}

function attemptsShown(request: FastifyRequest, { journal }: PageContext): AttemptsShown {
  const build = journal.builds.find(idOf(request, "build"));
  const chip = build && journal.chips.find(build.chipId);
  if (!build || !chip) throw missing("build");
  const narrowing = {
    clockMhz: numberAsked(request, "clockMhz"),
    voltageMv: numberAsked(request, "voltageMv"),
    offset: numberAsked(request, "offset"),
    part: valueAsked(request, "part"),
    workload: idAsked(request, "workload", "workload"),
  };
  const after = valueAsked(request, "after");
  const page = journal.attempts.pageOf(build.id, {
    limit: pageLength,
    after,
    clockMhz: narrowing.clockMhz ?? undefined,
    voltageMv: narrowing.voltageMv ?? undefined,
    offset: narrowing.offset ?? undefined,
    part: narrowing.part ?? undefined,
    workloadId: narrowing.workload ?? undefined,
  });
  const isWhole = after === null && page.next === null;
  return {
    ...{ build, chip, narrowing, items: page.items, next: page.next },
    workloads: journal.workloads.all(),
    used: isWhole ? null : journal.attempts.setEver(build.id),
  };
}
