import type { FastifyInstance } from "fastify";
import * as z from "zod";
import { settledSamplesOfChip } from "../answers/samplesOfChip.ts";
import { id } from "../bench/things/units.ts";
import type { Context } from "../requests/context.ts";
import { idOf, idParams, numberInQuery, queryOf } from "../requests/reading.ts";

const samplesQuery = z.strictObject({
  voltageMv: numberInQuery("The voltage", 100, 3000).optional(),
  workload: id.optional(),
});

/** The samples of a chip's model, ranked at a voltage and load that they have in common. */
export function registerSamples(app: FastifyInstance, { journal, reckonings }: Context): void {
  app.get(
    "/api/chips/:id/samples",
    { schema: { tags: ["answers"], params: idParams, querystring: samplesQuery } },
    (request) => {
      const chipId = idOf(request, "chip");
      const { voltageMv, workload } = queryOf(samplesQuery, request);
      return settledSamplesOfChip(journal, reckonings, { chipId, voltageMv, workloadId: workload });
    },
  );
}
