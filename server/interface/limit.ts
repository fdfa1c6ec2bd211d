import type { FastifyInstance } from "fastify";
import { z } from "zod";
import { answerTo, bestQuestion, limitQuestion, nextQuestion } from "../answers/limitOfBuild.ts";
import { goals, uses } from "../bench/things/aim.ts";
import { id } from "../bench/things/units.ts";
import type { Context } from "../requests/context.ts";
import { idOf, idParams, numberInQuery, queryOf } from "../requests/reading.ts";

const clock = numberInQuery("The clock", 1, 20_000);
const voltage = numberInQuery("The voltage", 100, 3000);
const yesOrNo = z
  .enum(["yes", "no"], { error: "pooled is yes or no." })
  .transform((word) => word === "yes")
  .optional();
const voltages = z
  .string()
  .max(1000)
  .transform((list) => list.split(","))
  .pipe(
    z
      .array(voltage as z.ZodType<number, string>)
      .min(1, "Name at least one voltage.")
      .max(40, "Name at most 40 voltages."),
  );

const asked = { workload: id.optional(), pooled: yesOrNo };
export const limitQuery = z.strictObject({ ...asked, targetMhz: clock.optional() });
export const nextQuery = z.strictObject({
  ...asked,
  voltageMv: voltage.optional(),
  clockMhz: clock.optional(),
  voltagesMv: voltages.optional(),
  minutes: numberInQuery("The minutes", 1, 10_080).optional(),
});
export const bestQuery = z.strictObject({
  ...asked,
  goal: z.enum(goals, { error: `goal is one of: ${goals.join(", ")}.` }).default("clock"),
  use: z.enum(uses, { error: `use is one of: ${uses.join(", ")}.` }).default("benchmark"),
  rule: id.optional(),
});

/** The answers that take a fit; a script waits for them. */
export function registerLimit(app: FastifyInstance, { journal, reckonings }: Context): void {
  const schema = (querystring: z.ZodType) => ({
    schema: { tags: ["answers"], params: idParams, querystring },
  });

  app.get("/api/builds/:id/limit", schema(limitQuery), (request) => {
    const buildId = idOf(request, "build");
    const { workload, pooled, targetMhz } = queryOf(limitQuery, request);
    return answerTo(reckonings, limitQuestion(journal, { buildId, workloadId: workload, pooled, targetMhz }));
  });

  app.get("/api/builds/:id/next", schema(nextQuery), (request) => {
    const buildId = idOf(request, "build");
    const { workload, ...wanted } = queryOf(nextQuery, request);
    return answerTo(reckonings, nextQuestion(journal, { buildId, workloadId: workload, ...wanted }));
  });

  app.get("/api/builds/:id/best", schema(bestQuery), (request) => {
    const buildId = idOf(request, "build");
    const { workload, rule, ...wanted } = queryOf(bestQuery, request);
    return answerTo(
      reckonings,
      bestQuestion(journal, { buildId, workloadId: workload, ruleId: rule, ...wanted }),
    );
  });
}
