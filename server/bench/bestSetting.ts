import { crashesInWords } from "./acceptance.ts";
import {
  acceptedChance,
  type BestAnswer,
  type BestQuestion,
  type Desk,
  deskOf,
  type Goal,
  type RecommendedSetting,
} from "./bestDesk.ts";
import { couldChange, noneBecause, passedOverOf, reasonsFor } from "./bestReasons.ts";
import type { HeatForecast } from "./lawOfHeat.ts";
import { loadedRows } from "./limitEvidence.ts";
import { limitFitOf } from "./limitFit.ts";
import { clocksAtHazard } from "./limitReach.ts";
import type { Setting } from "./nextAnswer.ts";
import { outcomeClass } from "./outcome.ts";
import { mostPerWattBetween, type PerWatt, type PerWattBasis } from "./perWatt.ts";
import { volts } from "./words.ts";

export {
  type BestAnswer,
  type BestQuestion,
  type Goal,
  goals,
  type RecommendedSetting,
} from "./bestDesk.ts";

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
    perWatt: desk.perWatt && basisOf(desk.perWatt),
  };
}

const basisOf = ({ of, workloadId, scoreUnit, powerRead, because }: PerWatt): PerWattBasis => ({
  of,
  workloadId,
  scoreUnit,
  powerRead,
  because,
});

const nothingHeld: BestAnswer = {
  setting: null,
  because: ["Nothing has passed on this build yet, so there is no setting to recommend."],
  passedOver: [],
  couldChange: "A first pass would start the record.",
  perWatt: null,
};

/**
 * At every voltage tried and every step between: the highest clock acceptable with a chance of 0.8, the stock clock below
 * it, and between them the one that gives most per watt where that is the goal. Never a clock above all that passed: a recommendation does not run ahead of the record.
 */
function fittedCandidates(desk: Desk): RecommendedSetting[] {
  return voltagesOn(desk).flatMap((voltageMv) => {
    const clocks = clocksAtHazard(desk.draws, voltageMv, desk.hazard);
    const top = onGridBelow(desk, Math.min(quantileFromTop(clocks), desk.highestPassedMhz));
    return clocksWanted(desk, voltageMv, top)
      .filter((clockMhz) => clockMhz > 0)
      .map((clockMhz) => described({ clockMhz, voltageMv }, desk, clocks));
  });
}

function clocksWanted({ question, perWatt }: Desk, voltageMv: number, topMhz: number): number[] {
  const { stockClockMhz, clockStepMhz } = question.chip;
  if (stockClockMhz === null || stockClockMhz >= topMhz) return [topMhz];
  if (perWatt === null) return [topMhz, stockClockMhz];
  const grid = { fromMhz: stockClockMhz, toMhz: topMhz, stepMhz: clockStepMhz };
  return [...new Set([topMhz, mostPerWattBetween(perWatt, voltageMv, grid), stockClockMhz])];
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
    score: desk.perWatt?.scoreAt(clockMhz) ?? null,
    scorePerW: desk.perWatt?.scorePerWAt(setting) ?? null,
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

/** Two settings that give as much per watt, up to rounding, are told apart by their clocks. */
const sameShare = 1e-9;

function betterFor(goal: Goal, desk: Desk): (a: RecommendedSetting, b: RecommendedSetting) => number {
  const watts = (setting: RecommendedSetting): number =>
    setting.powerW ?? (setting.voltageMv / 1000) ** 2 * setting.clockMhz;
  const stock = desk.question.chip.stockClockMhz ?? 0;
  switch (goal) {
    case "clock":
      return (a, b) => b.clockMhz - a.clockMhz || a.voltageMv - b.voltageMv;
    case "efficiency":
      return (a, b) => {
        const [ofA, ofB] = [desk.perWatt?.at(a) ?? 0, desk.perWatt?.at(b) ?? 0];
        return Math.abs(ofA - ofB) <= sameShare * ofA ? b.clockMhz - a.clockMhz : ofB - ofA;
      };
    case "cool":
      return (a, b) =>
        Number(b.clockMhz >= stock) - Number(a.clockMhz >= stock) ||
        watts(a) - watts(b) ||
        a.voltageMv - b.voltageMv;
  }
}
