import type { FastifyInstance } from "fastify";
import * as z from "zod";
import { answerBesides } from "../answers/answerBesides.ts";
import { answerOf, inShort, settingOf, settledAnswerOf } from "../answers/answerOf.ts";
import { buildAsked } from "../answers/buildAsked.ts";
import { type BuildKnobQuestion, knobNextQuestion, knobSearched } from "../answers/knobOfBuild.ts";
import { answerTo, latestAnswerTo, limitQuestion, nextQuestion } from "../answers/limitOfBuild.ts";
import { nextAtOnce, type PlainNext } from "../answers/nextAtOnce.ts";
import { offsetNextQuestion } from "../answers/offsetOfBuild.ts";
import { againstUnattendedAt } from "../answers/unattended.ts";
import type { NextAnswer } from "../bench/next/nextAnswer.ts";
import { goals, isSameAim, uses } from "../bench/things/aim.ts";
import { id } from "../bench/things/units.ts";
import { clockWords, volts } from "../bench/things/words.ts";
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
/** Looks along one knob, all else as the latest attempt had it. */
const knobAsked = z.string().max(40).optional();
const limitQuery = z.strictObject({ ...asked, targetMhz: clock.optional() });
const nextQuery = z.strictObject({
  ...asked,
  voltageMv: voltage.optional(),
  clockMhz: clock.optional(),
  voltagesMv: voltages.optional(),
  minutes: numberInQuery("The minutes", 1, 10_080).optional(),
  again: id.optional(),
  part: z.string().max(40).optional(),
  knob: knobAsked,
});
const bestQuery = z.strictObject({
  ...asked,
  goal: z.enum(goals, { error: `goal is one of: ${goals.join(", ")}.` }).optional(),
  use: z.enum(uses, { error: `use is one of: ${uses.join(", ")}.` }).optional(),
  rule: id.optional(),
  knob: knobAsked,
});

/** The answers that take a fit; a script waits for them, or asks with `wait=0` for what is known already. */
export function registerLimit(app: FastifyInstance, { journal, reckonings, attendants, now }: Context): void {
  const schema = (querystring: z.ZodType) => ({
    schema: { tags: ["answers"], params: idParams, querystring },
  });
  /** A run is offered to be left to itself only where nothing stands against that; what does is told as barred. */
  const withConditions = <Next extends NextAnswer | PlainNext>(buildId: string, next: Next) => {
    if (!("leaveRunning" in next) || next.leaveRunning === null) return next;
    const build = buildAsked(journal, { buildId });
    const against = againstUnattendedAt({ journal, attendants, now: now() }, build, next.leaveRunning);
    if (against.length === 0) return next;
    const { clockMhz, voltageMv } = next.leaveRunning;
    const setting = `${clockWords(clockMhz, build.chip.clockUnit)} at ${volts(voltageMv)}`;
    const barred = against.map((because) => `Leaving ${setting} to itself: ${because}.`);
    return { ...next, leaveRunning: null, blocked: [...next.blocked, ...barred] };
  };
  const answerNow = (buildId: string, wait: string | undefined) =>
    wait === "0" ? answerOf(journal, reckonings, buildId) : settledAnswerOf(journal, reckonings, buildId);

  /** What is known of one knob, all else as it stands, and what to try next of it. */
  async function alongKnob(asked: BuildKnobQuestion, wait: string | undefined) {
    const { id: knobId, name, unit } = knobSearched(buildAsked(journal, asked).chip, asked.knobId);
    const question = knobNextQuestion(journal, asked);
    const latest = wait === "0" ? latestAnswerTo(reckonings, question) : null;
    const next = wait === "0" ? (latest?.answer ?? notFittedYet) : await answerTo(reckonings, question);
    return { ...next, knobId, name, unit, reckoning: wait === "0" && latest?.fresh !== true };
  }

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
    const { workload, wait, part, knob, ...wanted } = queryOf(nextQuery, request);
    if (knob !== undefined) {
      const { minutes } = wanted;
      const along = await alongKnob({ buildId, knobId: knob, workloadId: workload, minutes }, wait);
      return { ...along, answer: inShort(await answerNow(buildId, wait)) };
    }
    if (buildAsked(journal, { buildId }).chip.axis === "offset") {
      const { minutes } = wanted;
      const along = offsetNextQuestion(journal, { buildId, workloadId: workload, part, minutes });
      const latest = wait === "0" ? latestAnswerTo(reckonings, along) : null;
      const next = wait === "0" ? (latest?.answer ?? notFittedYet) : await answerTo(reckonings, along);
      const reckoning = wait === "0" && latest?.fresh !== true;
      return { ...withoutClock(next), reckoning, answer: inShort(await answerNow(buildId, wait)) };
    }
    const question = { buildId, workloadId: workload, ...wanted };
    const { next, reckoning } =
      wait === "0"
        ? nextAtOnce(journal, reckonings, question)
        : { next: await answerTo(reckonings, nextQuestion(journal, question)), reckoning: false };
    return { ...withConditions(buildId, next), reckoning, answer: inShort(await answerNow(buildId, wait)) };
  });

  app.get("/api/builds/:id/best", schema(bestQuery), async (request) => {
    const buildId = idOf(request, "build");
    const { wait, knob, ...wanted } = queryOf(bestQuery, request);
    if (knob !== undefined) {
      const { workload, use } = wanted;
      const along = await alongKnob({ buildId, knobId: knob, workloadId: workload, use }, wait);
      if (!("soFar" in along)) return { ...along, isAim: false };
      const { knobId, allElse, soFar, reckoning } = along;
      return { ...soFar, knobId, allElse, reckoning, isAim: false };
    }
    const { use, goal } = buildAsked(journal, { buildId }).build;
    const aim = { use: wanted.use ?? use, goal: wanted.goal ?? goal };
    const { workload: workloadId, rule: ruleId, pooled, learnt } = wanted;
    const isAim =
      isSameAim(aim, { use, goal }) && !ruleId && !workloadId && pooled === undefined && learnt === undefined;
    const question = { buildId, workloadId, ruleId, pooled, learnt, aim };
    const answer = await (isAim ? answerNow(buildId, wait) : answerBesides(journal, reckonings, question));
    return { ...answer, setting: settingOf(answer), isAim };
  });
}

const notFittedYet = {
  state: "too-little",
  because: "The limit has not been fitted to this record yet.",
  needs: "Ask again, or without wait=0.",
} as const;

/** By offset nobody sets a clock or a voltage, and nothing is offered to be left to itself. */
function withoutClock<Next extends object>(next: Next) {
  if ("state" in next) return next;
  return "settled" in next ? { ...next, leaveRunning: null } : { clockMhz: null, voltageMv: null, ...next };
}
