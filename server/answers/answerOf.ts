import { notWorkedOutYet } from "../bench/best/answerWords.ts";
import type { BestAnswer, BestQuestion } from "../bench/best/bestSetting.ts";
import { lessBarred } from "../bench/best/lessBarred.ts";
import { plainAnswerOf } from "../bench/best/plainAnswer.ts";
import { loadedRows } from "../bench/limit/limitEvidence.ts";
import type { OffsetAnswer } from "../bench/scale/offsetAnswer.ts";
import type { BuildAim } from "../bench/things/aim.ts";
import type { KnobValues } from "../bench/things/asSet.ts";
import type { Chip } from "../bench/things/chip.ts";
import { rowsMemory } from "../bench/things/rowsMemory.ts";
import { knobsInWords, knobsOfSetting } from "../bench/things/timings.ts";
import type { Journal } from "../store/file/journal.ts";
import { attemptsSince, isOnSameRecord, type Mover, moversSince } from "./answerGrounds.ts";
import { evidenceAsSetNow } from "./asSetNow.ts";
import { type BuildAtHand, buildAsked } from "./buildAsked.ts";
import { frontierOfAsked } from "./frontierOfBuild.ts";
import { type KeptAnswer, keptBest } from "./keptFit.ts";
import { answerTo, bestQuestion, latestAnswerTo } from "./limitOfBuild.ts";
import { latestOffsetAnswer, offsetBestQuestion } from "./offsetOfBuild.ts";
import type { Reckonings } from "./reckoned.ts";

/** A build's one answer to its own aim: every page, note, comparison and address takes it from here. */
export type BuildAnswer = BestAnswer &
  Readonly<{
    aim: BuildAim;
    /** True until the record as it is has been fitted: then this is the kept answer, less what is now barred. */
    reckoning: boolean;
    /** What moved the setting since it was last shown; empty where nothing did. */
    changedBecause: readonly Mover[];
    /** On a chip that is set by offset this is what to set; `setting`, a clock at a voltage, is then null. */
    byOffset: OffsetAnswer | null;
    /** The knobs that belong to it, and the same in words; null where the chip has none. */
    knobs: Readonly<{ values: KnobValues; words: string }> | null;
    /** The load under which its hours are told; null where none is named. */
    load: string | null;
    /** What is on record of the build under load, as its knobs and its firmware stand now. */
    restsOn: Readonly<{ attempts: number; longestS: number }>;
  }>;

/** What is set, chances and margins the least of all parts: nobody said what parts do together. */
export function settingOf({ setting, byOffset, knobs }: Pick<BuildAnswer, "setting" | "byOffset" | "knobs">) {
  if (setting !== null || byOffset === null || (byOffset.offset === null && byOffset.offsets === null))
    return setting;
  const { offset, offsets, provedTogether, parts } = byOffset;
  const found = parts.flatMap((part) => part.setting ?? []);
  const least = (of: readonly (number | null)[]): number | null =>
    of.reduce((low, one) => (low === null || one === null ? null : Math.min(low, one)), of[0] ?? null);
  return {
    ...{ clockMhz: null, voltageMv: null, offset, offsets, provedTogether, guarded: false },
    knobs: knobs?.values ?? null,
    workloadId: found[0]?.workloadId ?? null,
    chance: least(found.map(({ chance }) => chance)),
    hours: found[0]?.hours ?? null,
    ranS: least(found.map(({ ranS }) => ranS)),
    marginC: least(found.map(({ marginC }) => marginC)),
  };
}

/** What other answers carry of it. */
export function inShort(answer: BuildAnswer) {
  const { state, reckoning } = answer;
  const setting = settingOf(answer);
  if (setting === null) return { state, setting, reckoning };
  const { clockMhz, voltageMv, chance, hours } = setting;
  const byOffset = "offset" in setting ? { offset: setting.offset, offsets: setting.offsets } : {};
  return { state, setting: { clockMhz, voltageMv, chance, hours, ...byOffset }, reckoning };
}

/** The answer at once, as far as it is known. */
export function answerOf(journal: Journal, reckonings: Reckonings, buildId: string): BuildAnswer {
  const asked = buildAsked(journal, { buildId });
  const aim = { use: asked.build.use, goal: asked.build.goal };
  if (asked.chip.axis === "offset") return { ...toldByOffset(journal, reckonings, asked), aim };
  const rests = recordBehind(journal, asked);
  const told = rests.attempts === 0 ? nothingTold(journal, asked) : toldOf(journal, reckonings, asked, aim);
  const knobs = knobsTold(asked.chip, told.setting?.knobs ?? null);
  return { ...told, aim, byOffset: null, knobs, load: loadOf(asked, told), restsOn: rests };
}

export function loadOf(
  { workloads }: BuildAtHand,
  { setting = null, byOffset = null }: Partial<Pick<BuildAnswer, "setting" | "byOffset">>,
): string | null {
  const found = setting ?? byOffset?.parts.find((part) => part.setting !== null)?.setting;
  return workloads.get(found?.workloadId ?? "")?.name ?? null;
}

/** Of a chip that is set by clock those that speak of it as its knobs and firmware stand; of idle loads none. */
export function recordBehind(
  journal: Journal,
  { build, chip, workloads }: BuildAtHand,
): BuildAnswer["restsOn"] {
  const tried =
    chip.axis === "offset"
      ? journal.attempts.triedOf(build.id)
      : loadedRows(evidenceAsSetNow(journal, build.id, chip), [...workloads.values()]);
  return summed(tried, journal.workloads.all(), () => {
    const rows = tried.filter(({ workloadId }) => workloads.get(workloadId)?.kind !== "idle");
    const longestS = rows.reduce((longest, { durationS }) => Math.max(longest, durationS), 0);
    return { attempts: rows.length, longestS };
  });
}

const summed = rowsMemory<BuildAnswer["restsOn"]>();

export const knobsTold = (chip: Chip, values: KnobValues | null): BuildAnswer["knobs"] =>
  values && { values, words: knobsInWords(chip, values) };

function toldByOffset(
  journal: Journal,
  reckonings: Reckonings,
  asked: BuildAtHand,
): Omit<BuildAnswer, "aim"> {
  const rests = recordBehind(journal, asked);
  if (rests.attempts === 0)
    return { ...nothingTold(journal, asked), byOffset: null, knobs: null, load: null, restsOn: rests };
  const { answer, fresh, changedBecause } = latestOffsetAnswer(journal, reckonings, asked);
  const because = answer?.because ?? [fresh ? noneHeld : notWorkedOutYet];
  const state = answer?.state ?? "too-little";
  const knobs = answer && knobsAtLast(journal, asked);
  return {
    ...{ ...nothingSettled, state, because, byOffset: answer, knobs },
    load: loadOf(asked, { byOffset: answer }),
    ...{ reckoning: !fresh, changedBecause, restsOn: rests },
  };
}

/** Along an offset the knobs are as they were last. */
export const knobsAtLast = (journal: Journal, { build, chip }: BuildAtHand): BuildAnswer["knobs"] =>
  knobsTold(chip, knobsOfSetting(chip, journal.attempts.triedOf(build.id).at(-1)?.knobs ?? null));

const noneHeld = "Nothing that ran is likely enough to hold yet.";

type Told = BestAnswer & Pick<BuildAnswer, "reckoning" | "changedBecause">;

/** What the answer is asked from is put together once: it may be long. */
function toldOf(journal: Journal, reckonings: Reckonings, atHand: BuildAtHand, aim: BuildAim): Told {
  const buildId = atHand.build.id;
  const question = bestQuestion(journal, { buildId, ...aim });
  let asked: BestQuestion | undefined;
  const request = (): BestQuestion => {
    asked ??= question.request(reckonings);
    return asked;
  };
  const latest = latestAnswerTo(reckonings, { ...question, request });
  if (latest?.fresh) {
    const { answer, changedBecause } = keptBest.keep(journal, buildId, aim, latest.answer, request);
    return { ...answer, reckoning: false, changedBecause };
  }
  const kept = keptBest.find(journal, buildId, aim);
  const isLost = reckonings.hasFailed(question.kind, question.key);
  const told = kept === null ? beforeAnyFit(journal, atHand, isLost) : sinceKept(kept, request());
  return isLost ? { ...told, because: [fitFailed, ...told.because] } : told;
}

/** The answer on the journal as it is; waits for the fit, and where that fails tells so and what is known without it. */
export async function settledAnswerOf(
  journal: Journal,
  reckonings: Reckonings,
  buildId: string,
): Promise<BuildAnswer> {
  await settled(journal, reckonings, buildId);
  return answerOf(journal, reckonings, buildId);
}

/** Waits for the fit of the journal as it is, or for its failure, until `enough` comes, after which nobody does any longer. */
export async function settled(
  journal: Journal,
  reckonings: Reckonings,
  buildId: string,
  enough?: Promise<unknown>,
): Promise<void> {
  const { build, chip } = buildAsked(journal, { buildId });
  const { use, goal } = build;
  if (chip.axis === "offset")
    await answerTo(reckonings, offsetBestQuestion(journal, { buildId }), enough).catch(() => undefined);
  else if (journal.attempts.countOf(buildId) > 0)
    await answerTo(reckonings, bestQuestion(journal, { buildId, use, goal }), enough).catch(() => undefined);
}

/** Where only other builds and chips taught something, the fit has judged already what stands against its answer. */
function sinceKept({ answer, changedBecause, grounds }: KeptAnswer, question: BestQuestion): Told {
  if (isOnSameRecord(question, grounds)) return { ...answer, reckoning: true, changedBecause };
  const since = new Set(attemptsSince(question, grounds).map(({ id }) => id));
  const reduced = lessBarred(answer, since, question);
  const isMoved = reduced.setting !== answer.setting;
  return {
    ...reduced,
    reckoning: true,
    changedBecause: isMoved ? moversSince(question, grounds) : changedBecause,
  };
}

/** Where no fit has answered yet nothing is said; where none can, what holds by the rule alone. */
function beforeAnyFit(journal: Journal, asked: BuildAtHand, isLost: boolean): Told {
  if (!isLost) return { ...nothingSettled, because: [notWorkedOutYet], reckoning: true, changedBecause: [] };
  const { build, chip } = asked;
  const rows = journal.attempts.evidenceOf(build.id);
  const workloads = [...asked.workloads.values()];
  const { points } = frontierOfAsked(journal, asked);
  const plain = plainAnswerOf({ points, rows, workloads, chip, use: build.use });
  return { ...plain, reckoning: true, changedBecause: [] };
}

const fitFailed =
  "The limit could not be fitted to this record just now; what is said here stands without it. All that is recorded is kept.";

export const nothingSettled: BestAnswer = {
  state: "too-little",
  setting: null,
  worthTrying: null,
  highestSeen: null,
  nearer: null,
  sharpness: null,
  atVoltages: [],
  because: [],
  passedOver: [],
  perWatt: null,
};

/** Nothing that ran speaks of a setting: idle runs do not, nor what ran on boost or on automatic voltage alone. */
function nothingTold(journal: Journal, { build, chip }: BuildAtHand): Told {
  const ran =
    chip.axis === "offset"
      ? "a load"
      : "a load at a clock and a voltage that were set, as all else stands now";
  const isTried = journal.attempts.triedOf(build.id).length > 0;
  const why = isTried
    ? `None of the attempts so far speaks of ${ran}`
    : "Nothing has been tried on this build yet";
  return {
    ...nothingSettled,
    because: [`${why}, so there is no setting to recommend.`],
    reckoning: false,
    changedBecause: [],
  };
}
