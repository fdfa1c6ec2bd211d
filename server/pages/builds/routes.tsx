import type { FastifyInstance, FastifyRequest } from "fastify";
import { answerOf, type BuildAnswer } from "../../answers/answerOf.ts";
import type { Reckonings } from "../../answers/reckoned.ts";
import type { Build } from "../../bench/things/build.ts";
import { Refusal } from "../../bench/things/refusal.ts";
import { fragmentHtml, pageHtml } from "../../html/document.tsx";
import { ChartBlock } from "../../html/jsonBlock.tsx";
import type { Journal } from "../../store/file/journal.ts";
import { valueAsked } from "../kit/addressed.ts";
import { answersSoon } from "../kit/answersSoon.ts";
import type { PageContext } from "../kit/context.ts";
import { wantsPiece } from "../kit/forms.ts";
import { sendPage } from "../kit/sendPage.ts";
import { paths, withQuery } from "../paths.ts";
import { frameOf } from "../siteMap.ts";
import { heldPlot } from "./heldPlot.ts";
import { ranked } from "./ranked.ts";
import { type BuildRow, BuildRows, BuildsPage, BuildsPiece, type BuildsShown } from "./view.tsx";

/** Few enough that looking through the attempts of each takes no time worth noticing. */
const pageLength = 20;

export function registerBuildsPage(app: FastifyInstance, context: PageContext): void {
  app.get("/builds", { schema: { hide: true } }, async (request, reply) => {
    const { items } = context.journal.builds.page({ limit: pageLength, after: valueAsked(request, "after") });
    await answersSoon(
      context,
      items.map(({ id }) => id),
    );
    const shown = buildsShown(request, context);
    reply.header("vary", "HX-Request");
    return wantsPiece(request.headers)
      ? sendPage(reply, fragmentHtml(<BuildRows shown={shown} />))
      : sendPage(reply, pageHtml(<BuildsPage frame={frameOf(context, "builds")} shown={shown} />));
  });

  /** 204 while any of them is still being worked out. */
  app.get(paths.buildAnswers(), { schema: { hide: true } }, (request, reply) => {
    const shown = buildsShown(request, context);
    if (shown.later !== null) return reply.code(204).send();
    return sendPage(
      reply,
      fragmentHtml(
        <>
          <BuildsPiece shown={shown} />
          {shown.plot ? <ChartBlock charts={{ held: shown.plot }} /> : null}
        </>,
      ),
    );
  });
}

function buildsShown(request: FastifyRequest, { journal, reckonings }: PageContext): BuildsShown {
  const after = valueAsked(request, "after");
  const { items, next } = journal.builds.page({ limit: pageLength, after });
  const rows = ranked(items.map((build) => rowOf(build, journal, reckonings)));
  return {
    rows,
    plot: heldPlot(journal, rows),
    more: next === null ? null : withQuery(paths.builds(), { after: next }),
    isFirst: after === null,
    later: rows.some(({ answer }) => answer?.reckoning) ? paths.buildAnswers({ after }) : null,
  };
}

function rowOf(build: Build, journal: Journal, reckonings: Reckonings): BuildRow {
  const [last] = journal.attempts.newestOf(build.id, 1).items;
  const chip = journal.chips.find(build.chipId);
  return {
    build,
    chipName: chip?.name ?? "a chip",
    clockUnit: chip?.clockUnit ?? "MHz",
    harder: chip?.offset?.harder ?? null,
    boardName: journal.boards.find(build.boardId)?.name ?? "a board",
    basedOnName: build.basedOn === null ? null : (journal.builds.find(build.basedOn)?.name ?? null),
    answer: answerAnyway(build, journal, reckonings),
    attempts: journal.attempts.countOf(build.id),
    lastAt: last?.startedAt ?? null,
  };
}

/** A build whose chip or rule cannot be found is listed all the same. */
function answerAnyway(build: Build, journal: Journal, reckonings: Reckonings): BuildAnswer | null {
  try {
    return answerOf(journal, reckonings, build.id);
  } catch (error) {
    if (error instanceof Refusal) return null;
    throw error;
  }
}
