import type { FastifyInstance } from "fastify";
import * as z from "zod";
import { powerOfBuild } from "../answers/powerOfBuild.ts";
import { id } from "../bench/things/units.ts";
import type { Context } from "../requests/context.ts";
import { idOf, idParams, numberInQuery, queryOf } from "../requests/reading.ts";

const powerQuery = z.strictObject({
  workload: id.optional(),
  supplyEfficiency: numberInQuery("supplyEfficiency", 0.5, 1).optional(),
});

export function registerPower(app: FastifyInstance, { journal }: Context): void {
  app.get(
    "/api/builds/:id/power",
    { schema: { tags: ["answers"], params: idParams, querystring: powerQuery } },
    (request) => {
      const buildId = idOf(request, "build");
      const { workload, supplyEfficiency } = queryOf(powerQuery, request);
      return powerOfBuild(journal, { buildId, workloadId: workload, supplyEfficiency }).account;
    },
  );
}
