import type { FastifyInstance } from "fastify";
import { z } from "zod";
import { compareBuilds } from "../answers/compareBuilds.ts";
import { fittedLimits } from "../answers/fittedLimits.ts";
import { id } from "../bench/units.ts";
import type { Context } from "./context.ts";
import { queryOf } from "./reading.ts";

export const compareQuery = z.strictObject({
  a: id,
  b: id,
  rule: id.optional(),
  workload: id.optional(),
  by: z.enum(["set", "load"], { error: "by is set or load." }).optional(),
});

export function registerCompare(app: FastifyInstance, { journal, reckonings }: Context): void {
  app.get("/api/compare", { schema: { tags: ["answers"], querystring: compareQuery } }, async (request) => {
    const { a, b, rule, workload, by } = queryOf(compareQuery, request);
    const question = { a, b, ruleId: rule, workloadId: workload, by };
    return compareBuilds(journal, question, await fittedLimits(journal, reckonings, question));
  });
}
