import { resampled } from "../numerics/particles.ts";
import {
  acceptableHazardPerMinute,
  crashesInWords,
  targetOfUse,
  type Use,
  useInWords,
} from "./acceptance.ts";
import { attemptBoundsOf } from "./attemptBounds.ts";
import { evidenceClockMhz } from "./evidence.ts";
import type { HeatForecast } from "./lawOfHeat.ts";
import { loadedRows } from "./limitEvidence.ts";
import { type LimitContext, type LimitFit, limitFitOf } from "./limitFit.ts";
import { clocksAtHazard, type LimitDraws, limitDrawsOf } from "./limitReach.ts";
import type { Setting } from "./nextAnswer.ts";
import { chanceInWords } from "./nextWords.ts";
import { outcomeClass } from "./outcome.ts";
import { type PowerLaw, powerLawOf } from "./powerLaw.ts";
import { megahertz, volts } from "./words.ts";

export const goals = ["clock", "efficiency", "cool"] as const;
export type Goal = (typeof goals)[number];

export type BestQuestion = LimitContext &
  Readonly<{
    goal: Goal;
    use: Use;
    workloadId?: string | null;
    /** Settings held by the acceptance rule, for where no limit can be fitted. */
    held?: readonly Setting[];
  }>;

export type RecommendedSetting = Setting &
  Readonly<{
    workloadId: string | null;
    /** The chance that it meets the use's target; null where it rests on the acceptance rule alone. */
    chance: number | null;
    /** "about one crash per 80 hours", stray crashes included; null where it rests on the rule alone. */
    crashes: string | null;
    loadTempC: Readonly<{ mid: number; low: number; high: number }> | null;
    marginC: number | null;
    powerW: number | null;
    from: "fitted" | "held";
  }>;

export type BestAnswer = Readonly<{
  setting: RecommendedSetting | null;
  because: readonly string[];
  passedOver: readonly Readonly<{ setting: Setting; because: string }>[];
  /** What one more attempt could change. */
  couldChange: string | null;
}>;

const acceptedChance = 0.8;

export function bestSettingOf(question: BestQuestion): BestAnswer {
  const rows = loadedRows(question.rows, question.workloads);
  const survived = rows.filter(({ outcome }) => outcomeClass(outcome) === "pass");
  const fit = survived.length === 0 ? null : limitFitOf(question);
  if (fit === null) return nothingHeld;
  const desk = deskOf(question, fit);
  const isFitted = rows.length >= 3;
  const candidates = isFitted ? fittedCandidates(desk) : heldCandidates(desk);
  const judged = candidates.map((candidate) => ({ candidate, against: objectionTo(candidate, desk) }));
  const fits = judged.filter(({ against }) => against === null).map(({ candidate }) => candidate);
  const best = [...fits].sort(betterFor(question.goal, desk))[0] ?? null;
  return {
    setting: best,
    because: best === null ? [noneBecause(desk, isFitted)] : reasonsFor(best, desk),
    passedOver: passedOverOf(judged, best, desk),
    couldChange: couldChange(best, desk),
  };
}

const nothingHeld: BestAnswer = {
  setting: null,
  because: ["Nothing has passed on this build yet, so there is no setting to recommend."],
  passedOver: [],
  couldChange: "A first pass would start the record.",
};

type Desk = Readonly<{
  question: BestQuestion;
  fit: LimitFit;
  draws: LimitDraws;
  workloadId: string | null;
  hazard: number;
  power: PowerLaw | undefined;
  highestPassedMhz: number;
  /** Lowest and highest voltage tried. */
  triedMv: readonly [number, number];
  highestMv: number;
}>;

function deskOf(question: BestQuestion, fit: LimitFit): Desk {
  const rows = loadedRows(question.rows, question.workloads);
  const workloadId = question.workloadId ?? fit.heaviestId;
  const passed = rows.filter(({ outcome }) => outcomeClass(outcome) === "pass");
  const voltages = rows.map(({ voltageMv }) => voltageMv);
  const triedMv = [Math.min(...voltages), Math.max(...voltages)] as const;
  return {
    question,
    fit,
    draws: limitDrawsOf(fit, resampled(fit.draws, 1000, 0.5), workloadId),
    workloadId,
    hazard: acceptableHazardPerMinute(targetOfUse[question.use]),
    power: powerLawOf(rows),
    highestPassedMhz: passed.reduce((most, row) => Math.max(most, evidenceClockMhz(row) ?? 0), 0),
    triedMv,
    highestMv: attemptBoundsOf(question.chip, rows).highestMv ?? triedMv[1],
  };
}

/**
 * At every voltage tried and every step between: the highest clock acceptable with a chance of 0.8, and the stock clock
 * below it. Never a clock above all that passed: a recommendation does not run ahead of the record.
 */
function fittedCandidates(desk: Desk): RecommendedSetting[] {
  return voltagesOn(desk).flatMap((voltageMv) => {
    const clocks = clocksAtHazard(desk.draws, voltageMv, desk.hazard);
    const top = onGridBelow(desk, Math.min(quantileFromTop(clocks), desk.highestPassedMhz));
    const { stockClockMhz } = desk.question.chip;
    const wanted = stockClockMhz !== null && stockClockMhz < top ? [top, stockClockMhz] : [top];
    return wanted
      .filter((clockMhz) => clockMhz > 0)
      .map((clockMhz) => described({ clockMhz, voltageMv }, desk, clocks));
  });
}

const heldCandidates = (desk: Desk): RecommendedSetting[] =>
  (desk.question.held ?? []).map(({ clockMhz, voltageMv }) => described({ clockMhz, voltageMv }, desk, null));

const mostVoltages = 120;

function voltagesOn({ question, triedMv }: Desk): number[] {
  const [low, high] = triedMv;
  const step = Math.max(question.chip.voltageStepMv, (high - low) / mostVoltages);
  const between = Array.from({ length: Math.floor((high - low) / step) + 1 }, (_, i) => low + i * step);
  const tried = question.rows.map(({ voltageMv }) => voltageMv).filter((mv) => mv >= low && mv <= high);
  return [...new Set([...between, ...tried].map((mv) => Math.round(mv * 1000) / 1000))].sort((a, b) => a - b);
}

/** The clock that eight draws in ten reach. */
function quantileFromTop(clocks: Float64Array): number {
  const sorted = Float64Array.from(clocks).sort();
  return sorted[Math.floor((1 - acceptedChance) * (sorted.length - 1))]!;
}

function onGridBelow({ question }: Desk, clockMhz: number): number {
  const origin = question.chip.stockClockMhz ?? 0;
  const step = question.chip.clockStepMhz;
  return Math.round((origin + Math.floor((clockMhz - origin) / step + 1e-6) * step) * 1000) / 1000;
}

function described(setting: Setting, desk: Desk, clocks: Float64Array | null): RecommendedSetting {
  const { clockMhz, voltageMv } = setting;
  const { question, fit, workloadId, draws } = desk;
  const forecast: HeatForecast | undefined = fit.heat.law?.forecast({
    clockMhz,
    voltageMv,
    workloadId,
    ambientC: question.hottestAmbientC,
  });
  const acceptable = clocks?.reduce((sum, clock) => sum + (clock >= clockMhz ? 1 : 0), 0);
  return {
    clockMhz,
    voltageMv,
    workloadId,
    chance: acceptable === undefined ? null : acceptable / draws.count,
    crashes: clocks === null ? null : crashesInWords(desk.hazard + medianOfDraws(draws.stray)),
    loadTempC: forecast === undefined ? null : { mid: forecast.mid, low: forecast.low, high: forecast.high },
    marginC: forecast === undefined ? null : question.chip.tempLimitC - forecast.mid,
    powerW: desk.power?.wattsAt(clockMhz, voltageMv) ?? null,
    from: clocks === null ? "held" : "fitted",
  };
}

const medianOfDraws = (values: Float64Array): number =>
  Float64Array.from(values).sort()[Math.floor(values.length / 2)]!;

/** The share of the half-width by which eight forecasts in ten stay under: a normal's 0.84 of 1.645 deviations. */
const eightInTen = 0.84 / 1.645;

/** Why a candidate will not do, or null. */
function objectionTo(
  { voltageMv, loadTempC }: RecommendedSetting,
  { question, highestMv }: Desk,
): string | null {
  if (voltageMv > highestMv) return `${volts(voltageMv)} is above what the chip's entry allows.`;
  if (loadTempC === null) return null;
  const warm = loadTempC.mid + eightInTen * (loadTempC.high - loadTempC.mid);
  const { tempLimitC, warnMarginC } = question.chip;
  return warm > tempLimitC - warnMarginC
    ? `In a room of ${question.hottestAmbientC} °C it is forecast to reach ${Math.round(loadTempC.mid)} °C (up to ${Math.round(loadTempC.high)} °C), too near the limit of ${tempLimitC} °C.`
    : null;
}

function betterFor(goal: Goal, desk: Desk): (a: RecommendedSetting, b: RecommendedSetting) => number {
  const watts = (setting: RecommendedSetting): number =>
    setting.powerW ?? (setting.voltageMv / 1000) ** 2 * setting.clockMhz;
  const stock = desk.question.chip.stockClockMhz ?? 0;
  switch (goal) {
    case "clock":
      return (a, b) => b.clockMhz - a.clockMhz || a.voltageMv - b.voltageMv;
    case "efficiency":
      return (a, b) => b.clockMhz / watts(b) - a.clockMhz / watts(a);
    case "cool":
      return (a, b) =>
        Number(b.clockMhz >= stock) - Number(a.clockMhz >= stock) ||
        watts(a) - watts(b) ||
        a.voltageMv - b.voltageMv;
  }
}

function reasonsFor(best: RecommendedSetting, desk: Desk): string[] {
  const { goal, use, chip, hottestAmbientC } = desk.question;
  const setting = `${megahertz(best.clockMhz)} at ${volts(best.voltageMv)}`;
  const reasons = [
    {
      clock: `${setting} is the highest clock that is good enough for ${useInWords[use]}.`,
      efficiency: `${setting} gives the most clock per watt of all that is good enough for ${useInWords[use]}${desk.power === undefined ? " (no power was read, so watts are taken to follow voltage squared times clock)" : ""}.`,
      cool: `${setting} runs coolest of all that is good enough for ${useInWords[use]}${chip.stockClockMhz === null ? "" : " at no less than the stock clock"}.`,
    }[goal],
    best.chance === null
      ? "It is held by the acceptance rule; too little is recorded to say how sure that is."
      : `It meets the target with a chance of ${chanceInWords(best.chance)}: at worst ${best.crashes} under this load.`,
  ];
  if (best.loadTempC !== null)
    reasons.push(
      `In a room of ${hottestAmbientC} °C it is forecast at ${Math.round(best.loadTempC.mid)} °C (${Math.round(best.loadTempC.low)} to ${Math.round(best.loadTempC.high)}), limit ${chip.tempLimitC} °C.`,
    );
  else reasons.push("No load temperature is recorded, so the margin to the limit is not known.");
  if (goal === "cool" && chip.stockClockMhz !== null && best.clockMhz < chip.stockClockMhz)
    reasons.push("The stock clock itself is not sure enough here, so this lies below it.");
  return reasons;
}

const noneBecause = ({ question }: Desk, isFitted: boolean): string =>
  isFitted
    ? `No setting on record is good enough for ${useInWords[question.use]} with a chance of 80 in 100 and cool enough for the hottest room.`
    : "Too little is recorded to fit a limit, and no setting is held by the acceptance rule with enough margin.";

const mostPassedOver = 5;

/** What stood in the way: the highest clocks that are too hot, and settings that passed but are not sure enough. */
function passedOverOf(
  judged: readonly Readonly<{ candidate: RecommendedSetting; against: string | null }>[],
  best: RecommendedSetting | null,
  desk: Desk,
): BestAnswer["passedOver"] {
  const tooHot = judged.flatMap(({ candidate, against }) =>
    against === null ? [] : [{ setting: plain(candidate), because: against }],
  );
  const passed = desk.question.rows
    .filter((row) => row.outcome === "pass" && (best === null || row.clockMhz > best.clockMhz))
    .map((row) => [`${row.clockMhz} ${row.voltageMv}`, plain(row)] as const);
  const unsure = [...new Map(passed).values()]
    .sort((a, b) => b.clockMhz - a.clockMhz)
    .slice(0, mostPassedOver)
    .filter((setting) => !tooHot.some((hot) => isSame(hot.setting, setting)))
    .map((setting) => ({ setting, because: unsureBecause(setting, desk) }));
  return [...tooHot, ...unsure]
    .sort((a, b) => b.setting.clockMhz - a.setting.clockMhz)
    .filter(({ setting }, i, all) => all.findIndex((other) => isSame(other.setting, setting)) === i)
    .slice(0, mostPassedOver);
}

function unsureBecause({ clockMhz, voltageMv }: Setting, { draws, hazard, question }: Desk): string {
  const clocks = clocksAtHazard(draws, voltageMv, hazard);
  const chance = clocks.reduce((sum, clock) => sum + (clock >= clockMhz ? 1 : 0), 0) / draws.count;
  return chance >= acceptedChance
    ? "It is good enough too, but another setting serves the goal better."
    : `It passed, but is good enough for ${useInWords[question.use]} with a chance of only ${chanceInWords(chance)}.`;
}

const plain = ({ clockMhz, voltageMv }: Setting): Setting => ({ clockMhz, voltageMv });
const isSame = (a: Setting, b: Setting): boolean => a.clockMhz === b.clockMhz && a.voltageMv === b.voltageMv;

function couldChange(best: RecommendedSetting | null, desk: Desk): string | null {
  if (best === null || desk.question.goal !== "clock") return null;
  const nextMhz = best.clockMhz + desk.question.chip.clockStepMhz;
  const clocks = clocksAtHazard(desk.draws, best.voltageMv, desk.hazard);
  const chance = clocks.reduce((sum, clock) => sum + (clock >= nextMhz ? 1 : 0), 0) / desk.draws.count;
  return chance < 0.1
    ? null
    : `The next step, ${megahertz(nextMhz)}, is good enough with a chance of ${chanceInWords(chance)}; a long run there could change the answer.`;
}
