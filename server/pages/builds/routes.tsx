import type { FastifyInstance, FastifyRequest } from "fastify";
import { frontierOfBuild } from "../../answers/frontierOfBuild.ts";
import type { Build } from "../../bench/things/build.ts";
import { Refusal } from "../../bench/things/refusal.ts";
import { fragmentHtml, pageHtml } from "../../html/document.tsx";
import type { Journal } from "../../store/file/journal.ts";
import { valueAsked } from "../kit/addressed.ts";
import type { PageContext } from "../kit/context.ts";
import { wantsPiece } from "../kit/forms.ts";
import { furthest } from "../kit/furthest.ts";
import { paths, withQuery } from "../paths.ts";
import { frameOf } from "../siteMap.ts";
import { type BuildRow, BuildRows, BuildsPage, type BuildsShown } from "./view.tsx";

/** Few enough that looking through the attempts of each takes no time worth noticing. */
const pageLength = 20;

export function registerBuildsPage(app: FastifyInstance, context: PageContext): void {
  app.get("/builds", { schema: { hide: true } }, (request, reply) => {
    const shown = buildsShown(request, context.journal);
    reply.type("text/html; charset=utf-8").header("vary", "HX-Request");
    return wantsPiece(request.headers)
      ? reply.send(fragmentHtml(<BuildRows shown={shown} />))
      : reply.send(pageHtml(<BuildsPage frame={frameOf(context, "builds")} shown={shown} />));
  });
}

function buildsShown(request: FastifyRequest, journal: Journal): BuildsShown {
  const after = valueAsked(request, "after");
  const { items, next } = journal.builds.page({ limit: pageLength, after });
  return {
    rows: items.map((build) => rowOf(build, journal)),
    more: next === null ? null : withQuery(paths.builds(), { after: next }),
    isFirst: after === null,
  };
}

function rowOf(build: Build, journal: Journal): BuildRow {
  const point = furthest(pointsOf(build, journal));
  const [last] = journal.attempts.newestOf(build.id, 1).items;
  return {
    build,
    chipName: journal.chips.find(build.chipId)?.name ?? "a chip",
    boardName: journal.boards.find(build.boardId)?.name ?? "a board",
    basedOnName: build.basedOn === null ? null : (journal.builds.find(build.basedOn)?.name ?? null),
    top: point ? { point, heldMhz: point.heldMhz } : null,
    attempts: journal.attempts.countOf(build.id),
    lastAt: last?.startedAt ?? null,
  };
}

/** A build whose chip or rule cannot be found is listed all the same. */
function pointsOf(build: Build, journal: Journal): ReturnType<typeof frontierOfBuild>["points"] {
  try {
    return frontierOfBuild(journal, { buildId: build.id }).points;
  } catch (error) {
    if (error instanceof Refusal) return [];
    throw error;
  }
}
