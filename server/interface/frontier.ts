import type { FastifyInstance } from "fastify";
import * as z from "zod";
import { frontierOfBuild } from "../answers/frontierOfBuild.ts";
import { id } from "../bench/things/units.ts";
import type { Context } from "../requests/context.ts";
import { idOf, idParams, queryOf } from "../requests/reading.ts";

const frontierQuery = z.strictObject({ rule: id.optional(), workload: id.optional() });

export function registerFrontier(app: FastifyInstance, { journal }: Context): void {
  app.get(
    "/api/builds/:id/frontier",
    { schema: { tags: ["answers"], params: idParams, querystring: frontierQuery } },
    (request) => {
      const buildId = idOf(request, "build");
      const { rule, workload } = queryOf(frontierQuery, request);
      return frontierOfBuild(journal, { buildId, ruleId: rule, workloadId: workload });
    },
  );
}
