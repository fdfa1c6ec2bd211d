import type { FastifyInstance } from "fastify";
import * as z from "zod";
import { inShort } from "../answers/answerOf.ts";
import { settledChangesOfChip } from "../answers/changesOfChip.ts";
import { driftOfChip } from "../answers/driftOfChip.ts";
import { id } from "../bench/things/units.ts";
import type { Context } from "../requests/context.ts";
import { queryOf } from "../requests/reading.ts";

const chipQuery = z.strictObject({ chip: id });

/** What stated changes did, and whether the bench moved meanwhile. */
export function registerChanges(app: FastifyInstance, { journal, reckonings }: Context): void {
  const schema = { schema: { tags: ["answers"], querystring: chipQuery } };

  app.get("/api/changes", schema, async (request) => {
    const { chip } = queryOf(chipQuery, request);
    const { changes, answers } = await settledChangesOfChip(journal, reckonings, chip);
    return {
      changes,
      answers: answers.map(({ build, answer }) => ({ buildId: build.id, ...inShort(answer) })),
    };
  });

  app.get("/api/drift", schema, (request) => {
    const builds = driftOfChip(journal, queryOf(chipQuery, request).chip);
    return {
      builds: builds.map(({ build, control, drifts }) => ({ buildId: build.id, control, drifts })),
    };
  });
}
