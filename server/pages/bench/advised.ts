import { setTimeout as pause } from "node:timers/promises";
import { type Advice, type AdviceQuestion, aims } from "../../answers/advice.ts";
import { type BuildAnswer, settledAnswerOf } from "../../answers/answerOf.ts";
import { fittedAdvice } from "../../answers/benchAdvice.ts";
import type { Setting } from "../../bench/next/nextAttempt.ts";
import { isId } from "../../bench/things/units.ts";
import { isTold } from "../kit/answerTold.tsx";
import type { PageContext } from "../kit/context.ts";
import type { Typed } from "../kit/forms.ts";
import { type Pursuit, pursuitIn } from "../kit/pursuit.tsx";
import { durationTyped } from "../kit/quantityTyped.ts";

/** A fit of a bench's record takes well under this; a page waits no longer and swaps the proposal in instead. */
const patienceMs = 400;

const usable = (value: number | null): number | null => (Number.isNaN(value) ? null : value);

const longestS = 10_080 * 60;

/** Seconds of bench time; more than a week is none that is planned. */
function timeTyped(typed: string | undefined): number | null {
  const have = usable(durationTyped(typed));
  return have === null ? null : Math.max(0, Math.min(have, longestS + 60));
}

/** What the address says the tester is after. */
export function adviceAskedIn(query: Typed, buildId: string, now: string): AdviceQuestion {
  const have = timeTyped(query.have);
  const { aim, atMv, atMhz, pooled, voltages, load, until: wasUntil, knob } = pursuitIn(query);
  const until = have === null ? wasUntil : new Date(Date.parse(now) + 1000 * have).toISOString();
  const minutes = until === null ? null : Math.round((Date.parse(until) - Date.parse(now)) / 60_000);
  const isLeft = minutes !== null && minutes >= 1 && minutes <= 10_080;
  return {
    buildId,
    aim: aims.find((one) => one === aim) ?? "clock",
    voltageMv: atMv,
    clockMhz: atMhz,
    minutes: isLeft ? minutes : null,
    until: isLeft ? until : null,
    voltagesMv: voltages === null ? [] : voltages.split(",").map(Number),
    workloadId: load,
    passedOver: settingsIn(query.skip),
    pooled: pooled === null,
    again: query.again && isId(query.again) ? query.again : null,
    knob: aim === "knob" ? knob : null,
  };
}

/** The search for the highest clock or the hardest offset is over: the page then says what to run, and what may still be done second. */
export const isDone = (
  answer: Pick<BuildAnswer, "state" | "setting" | "byOffset">,
  { aim, again }: Pick<AdviceQuestion, "aim" | "again">,
): boolean => answer.state === "done" && isTold(answer) && aim === "clock" && again === null;

/** What is set is tried; once the search is over it may be gone on with. */
export const nextWords = (answer: BuildAnswer, { asked }: Readonly<{ asked: AdviceQuestion }>): string =>
  isDone(answer, asked) ? "To go on:" : "Next:";

/** The same, as the next page and the next attempt are to have it. */
export const pursuitOf = ({ aim, pooled, ...asked }: AdviceQuestion): Pursuit => ({
  aim: aim === "clock" ? null : aim,
  atMv: asked.voltageMv,
  atMhz: asked.clockMhz,
  pooled: pooled ? null : "no",
  voltages: asked.voltagesMv.join(",") || null,
  load: asked.workloadId,
  until: asked.until,
  knob: asked.knob,
});

const mostSkipped = 20;

/** Settings passed over, as the address carries them: 4675@1200,4700@1200. */
function settingsIn(skip: string | undefined): Setting[] {
  return (skip ?? "")
    .split(",")
    .flatMap((one) => {
      const [clockMhz = Number.NaN, voltageMv = Number.NaN] = one.split("@").map(Number);
      return clockMhz > 0 && voltageMv > 0 ? [{ clockMhz, voltageMv }] : [];
    })
    .slice(-mostSkipped);
}

export const skipWith = (skipped: readonly Setting[], { clockMhz, voltageMv }: Setting): string =>
  [...skipped, { clockMhz, voltageMv }].map((one) => `${one.clockMhz}@${one.voltageMv}`).join(",");

/** Null where nothing was. */
export const skipped = (settings: readonly Setting[]): string | null => {
  const last = settings.at(-1);
  return last === undefined ? null : skipWith(settings.slice(0, -1), last);
};

/** What is set in firmware by this page must not be another proposal a moment later. */
export const patienceOfEvening = 15_000;

/** The fit's advice where it comes soon enough, else null. */
export function adviceSoon(
  { journal, reckonings }: PageContext,
  asked: AdviceQuestion,
  patience = patienceMs,
): Promise<Advice | null> {
  const advice = fittedAdvice(journal, reckonings, asked);
  advice.catch(() => undefined);
  return Promise.race([advice, pause(patience, null)]);
}

/** The same once the build's answer, beside which it stands, has been worked out too. */
export async function allSoon(context: PageContext, asked: AdviceQuestion): Promise<Advice | null> {
  const { journal, reckonings } = context;
  const answer = settledAnswerOf(journal, reckonings, asked.buildId);
  answer.catch(() => undefined);
  const advice = await adviceSoon(context, asked);
  return advice && Promise.race([answer.then(() => advice), pause(patienceMs, null)]);
}
