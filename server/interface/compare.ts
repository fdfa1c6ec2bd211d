import type { FastifyInstance } from "fastify";
import { z } from "zod";
import { compareBuilds } from "../answers/compareBuilds.ts";
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

export function registerCompare(app: FastifyInstance, { journal }: Context): void {
  app.get("/api/compare", { schema: { tags: ["answers"], querystring: compareQuery } }, (request) => {
    const { a, b, rule, workload, by } = queryOf(compareQuery, request);
    return compareBuilds(journal, { a, b, ruleId: rule, workloadId: workload, by });
  });
}
