import type { FastifyInstance, FastifyRequest } from "fastify";
import { changesOfChip } from "../../answers/changesOfChip.ts";
import { driftOfChip } from "../../answers/driftOfChip.ts";
import { pageHtml } from "../../html/document.tsx";
import { idAsked } from "../kit/addressed.ts";
import { loadNames } from "../kit/attemptTable.tsx";
import type { PageContext } from "../kit/context.ts";
import { sendPage } from "../kit/sendPage.ts";
import { frameOf } from "../siteMap.ts";
import { ChangesPage, type ChangesShown, NoChipPage } from "./view.tsx";

export function registerChangesPage(app: FastifyInstance, context: PageContext): void {
  const { journal, reckonings } = context;
  app.get("/changes", { schema: { hide: true } }, (request, reply) => {
    const frame = frameOf(context, "compare");
    const chipId = chipAskedFor(request, context);
    if (chipId === null) return sendPage(reply, pageHtml(<NoChipPage frame={frame} />));
    const shown: ChangesShown = {
      answer: changesOfChip(journal, reckonings, chipId),
      drifts: driftOfChip(journal, chipId),
      chips: journal.chips.all(),
      loads: loadNames(journal.workloads.all()),
    };
    return sendPage(reply, pageHtml(<ChangesPage frame={frame} shown={shown} />));
  });
}

/** The chip asked for, else the one that was tried last, else any. */
function chipAskedFor(request: FastifyRequest, { journal }: PageContext): string | null {
  const newest = journal.attempts.newest();
  const tried = newest && journal.builds.find(newest.buildId)?.chipId;
  return idAsked(request, "chip", "chip") ?? tried ?? journal.chips.all()[0]?.id ?? null;
}
