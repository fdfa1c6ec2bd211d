import type { FastifyInstance } from "fastify";
import { z } from "zod";
import { powerOfBuild } from "../answers/powerOfBuild.ts";
import { id } from "../bench/things/units.ts";
import type { Context } from "../requests/context.ts";
import { idOf, idParams, queryOf } from "../requests/reading.ts";

export const powerQuery = z.strictObject({ workload: id.optional() });

export function registerPower(app: FastifyInstance, { journal }: Context): void {
  app.get(
    "/api/builds/:id/power",
    { schema: { tags: ["answers"], params: idParams, querystring: powerQuery } },
    (request) => {
      const buildId = idOf(request, "build");
      const { workload } = queryOf(powerQuery, request);
      return powerOfBuild(journal, { buildId, workloadId: workload }).account;
    },
  );
}
