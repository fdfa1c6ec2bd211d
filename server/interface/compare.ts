import type { FastifyInstance } from "fastify";
import * as z from "zod";
import { inShort, settledAnswerOf } from "../answers/answerOf.ts";
import { compareBuilds } from "../answers/compareBuilds.ts";
import { fittedLimits } from "../answers/fittedLimits.ts";
import type { Assumptions } from "../bench/comparison/assumptions.ts";
import { id } from "../bench/things/units.ts";
import type { Context } from "../requests/context.ts";
import { numberInQuery, queryOf } from "../requests/reading.ts";

const compareQuery = z.strictObject({
  a: id,
  b: id,
  rule: id.optional(),
  workload: id.optional(),
  mountScatterC: numberInQuery("mountScatterC", 0.01, 20).optional(),
  roomAccuracyC: numberInQuery("roomAccuracyC", 0, 20).optional(),
  coolerStayedOn: z
    .enum(["yes", "no"], { error: "coolerStayedOn is yes or no." })
    .transform((word) => word === "yes")
    .optional(),
  by: z.enum(["set", "load"], { error: "by is set or load." }).optional(),
});

export function registerCompare(app: FastifyInstance, { journal, reckonings }: Context): void {
  app.get("/api/compare", { schema: { tags: ["answers"], querystring: compareQuery } }, async (request) => {
    const { a, b, rule, workload, by, ...stated } = queryOf(compareQuery, request);
    const question = { a, b, ruleId: rule, workloadId: workload, by };
    const limits = await fittedLimits(journal, reckonings, question);
    const compared = compareBuilds(journal, question, limits, onlyKnown(stated));
    const answers = [];
    for (const buildId of [a, b])
      answers.push({ buildId, ...inShort(await settledAnswerOf(journal, reckonings, buildId)) });
    return { ...compared, answers };
  });
}

const onlyKnown = (
  stated: Readonly<{ [name in keyof Assumptions]?: Assumptions[name] | undefined }>,
): Partial<Assumptions> =>
  Object.fromEntries(Object.entries(stated).filter(([, value]) => value !== undefined));
