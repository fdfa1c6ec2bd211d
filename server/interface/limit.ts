import type { FastifyInstance } from "fastify";
import { z } from "zod";
import { answerOf, inShort, settledAnswerOf } from "../answers/answerOf.ts";
import { buildAsked } from "../answers/buildAsked.ts";
import {
  answerTo,
  bestQuestion,
  latestAnswerTo,
  limitQuestion,
  nextQuestion,
} from "../answers/limitOfBuild.ts";
import { nextAtOnce } from "../answers/nextAtOnce.ts";
import { aimInWords, goals, isSameAim, uses } from "../bench/things/aim.ts";
import { id } from "../bench/things/units.ts";
import type { Context } from "../requests/context.ts";
import { idOf, idParams, numberInQuery, queryOf } from "../requests/reading.ts";

const clock = numberInQuery("The clock", 1, 20_000);
const voltage = numberInQuery("The voltage", 100, 3000);
const yesOrNo = (name: string) =>
  z
    .enum(["yes", "no"], { error: `${name} is yes or no.` })
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

const atOnce = z.enum(["0", "1"], { error: "wait is 0 or 1." }).optional();

const asked = { workload: id.optional(), pooled: yesOrNo("pooled"), learnt: yesOrNo("learnt"), wait: atOnce };
export const limitQuery = z.strictObject({ ...asked, targetMhz: clock.optional() });
export const nextQuery = z.strictObject({
  ...asked,
  voltageMv: voltage.optional(),
  clockMhz: clock.optional(),
  voltagesMv: voltages.optional(),
  minutes: numberInQuery("The minutes", 1, 10_080).optional(),
  again: id.optional(),
});
export const bestQuery = z.strictObject({
  ...asked,
  goal: z.enum(goals, { error: `goal is one of: ${goals.join(", ")}.` }).optional(),
  use: z.enum(uses, { error: `use is one of: ${uses.join(", ")}.` }).optional(),
  rule: id.optional(),
});

/** The answers that take a fit; a script waits for them, or asks with `wait=0` for what is known already. */
export function registerLimit(app: FastifyInstance, { journal, reckonings }: Context): void {
  const schema = (querystring: z.ZodType) => ({
    schema: { tags: ["answers"], params: idParams, querystring },
  });
  const answerNow = (buildId: string, wait: string | undefined) =>
    wait === "0" ? answerOf(journal, reckonings, buildId) : settledAnswerOf(journal, reckonings, buildId);

  app.get("/api/builds/:id/limit", schema(limitQuery), async (request) => {
    const buildId = idOf(request, "build");
    const { workload, pooled, learnt, wait, targetMhz } = queryOf(limitQuery, request);
    const question = limitQuestion(journal, { buildId, workloadId: workload, pooled, learnt, targetMhz });
    const latest = wait === "0" ? latestAnswerTo(reckonings, question) : null;
    const limit = wait === "0" ? (latest?.answer ?? notFittedYet) : await answerTo(reckonings, question);
    const answer = await answerNow(buildId, wait);
    return { ...limit, reckoning: wait === "0" && latest?.fresh !== true, answer: inShort(answer) };
  });

  app.get("/api/builds/:id/next", schema(nextQuery), async (request) => {
    const buildId = idOf(request, "build");
    const { workload, wait, ...wanted } = queryOf(nextQuery, request);
    const question = { buildId, workloadId: workload, ...wanted };
    const { next, reckoning } =
      wait === "0"
        ? nextAtOnce(journal, reckonings, question)
        : { next: await answerTo(reckonings, nextQuestion(journal, question)), reckoning: false };
    return { ...next, reckoning, answer: inShort(await answerNow(buildId, wait)) };
  });

  app.get("/api/builds/:id/best", schema(bestQuery), async (request) => {
    const buildId = idOf(request, "build");
    const { wait, ...wanted } = queryOf(bestQuery, request);
    const { use, goal } = buildAsked(journal, { buildId }).build;
    const aim = { use: wanted.use ?? use, goal: wanted.goal ?? goal };
    const isAim =
      isSameAim(aim, { use, goal }) && !wanted.rule && !wanted.workload && wanted.pooled === undefined;
    if (isAim) return { ...(await answerNow(buildId, wait)), isAim };
    const { workload: workloadId, rule: ruleId, pooled } = wanted;
    const question = bestQuestion(journal, { buildId, workloadId, ruleId, pooled, ...aim });
    const best = await answerTo(reckonings, question);
    const because = [...best.because, `This is not the aim of the build: ${aimInWords({ use, goal })}.`];
    return { ...best, because, aim, isAim, reckoning: false, changedBecause: [] };
  });
}

const notFittedYet = {
  state: "too-little",
  because: "The limit has not been fitted to this record yet.",
  needs: "Ask again, or without wait=0.",
} as const;
