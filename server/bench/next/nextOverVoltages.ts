import { resampled } from "../../numerics/particles.ts";
import { type LimitDraws, limitDrawsOf } from "../limit/limitReach.ts";
import { ladderAnswerOf } from "./ladderAnswer.ts";
import { hasRun, ladderAtVoltage } from "./ladderDesk.ts";
import type { MappedLimit, NextAnswer, Proposal, Setting, Settled } from "./nextAnswer.ts";
import {
  clocksFor,
  clockUnitOf,
  durationsFor,
  isPassedOver,
  isRuledOutAt,
  type NextDesk,
  nothingAllowed,
  refusesAt,
  roomForGuard,
  underCeiling,
} from "./nextDesk.ts";
import { planFrom, type TrialChooser } from "./nextPlan.ts";
import { firstProofOf, forecastOn, proposalOf } from "./nextProposal.ts";
import { becauseOfFirstProof, becauseOfMapTrial, becauseSettledMap } from "./nextWords.ts";
import {
  bestMapTrialOf,
  type MapPoint,
  type MapTerms,
  type MapTrial,
  mapPointsOf,
  worthwhileNarrowing,
} from "./voltageMap.ts";

/** So many draws are enough to weigh proposals for a whole map. */
const mapDraws = 300;

export function overVoltages(desk: NextDesk, askedMv: readonly number[]): NextAnswer {
  const voltages = [
    ...new Set(askedMv.map((voltageMv) => roomForGuard(desk, underCeiling(desk, voltageMv)))),
  ];
  const all = limitDrawsOf(desk.fit, desk.fit.draws, desk.workloadId);
  const known = mapPointsOf(all, voltages, termsOf(desk));
  if (known.every((point) => point.known)) return settledMap(desk, all, known);
  const few = limitDrawsOf(desk.fit, resampled(desk.fit.draws, mapDraws, 0.5), desk.workloadId);
  const choice: TrialChooser<MapTrial> = (at, draws) => {
    const terms = termsOf(at);
    const points = mapPointsOf(draws, voltages, terms);
    const reach = at.bounds.highestMv ?? Infinity;
    const reachable = [...new Set(voltages.map((voltageMv) => Math.min(voltageMv, reach)))];
    const inReach = mapPointsOf(draws, reachable, terms);
    const durations = durationsFor(at);
    const refuses = refusesAt(at);
    return bestMapTrialOf(points, draws, { ...clocksFor(at), inReach, durations, costs: at.costs, refuses });
  };
  const trial = choice(desk, few);
  if (trial === null && desk.question.rows.length === 0) return nothingAllowed(desk);
  if (!isWorthwhile(trial)) return settledMap(desk, all, known);
  const goesOn: TrialChooser<MapTrial> = (at, draws) => {
    const isKnown = mapPointsOf(draws, voltages, termsOf(at)).every((one) => one.known);
    const next = isKnown ? null : choice(at, draws);
    return isWorthwhile(next) ? next : null;
  };
  const [point] = mapPointsOf(all, [trial.voltageMv], termsOf(desk)) as [MapPoint];
  const open = known.filter((one) => !one.known).length;
  const sure = forecastOn(desk, all, trial);
  const because = becauseOfMapTrial(sure, point, open, voltages.length, clockUnitOf(desk));
  return {
    ...proposalOf(desk, sure, "map", because),
    ...planFrom(desk, few, sure, { next: goesOn, proof: () => null }),
  };
}

const isWorthwhile = (trial: MapTrial | null): trial is MapTrial =>
  trial !== null && trial.narrowingPerMinute >= worthwhileNarrowing;

const termsOf = (desk: NextDesk): MapTerms => ({
  hazard: desk.hazard,
  stepMhz: clocksFor(desk).steps.stepMhz,
  mostByHeatMhz: (voltageMv) => {
    const { mostByHeat, settingAt } = ladderAtVoltage(voltageMv, desk.hazard)(desk);
    return mostByHeat === Number.POSITIVE_INFINITY ? mostByHeat : settingAt(mostByHeat).clockMhz;
  },
});

function settledMap(desk: NextDesk, all: LimitDraws, points: readonly MapPoint[]): Settled | Proposal {
  const { rungOf, clockAt, first } = clocksFor(desk).steps;
  const onGrid = (clockMhz: number): number => clockAt(Math.max(first, rungOf(clockMhz)));
  const map = points.map(({ voltageMv, likelyMhz, lowMhz, highMhz, known }) => ({
    ...{ voltageMv, clockMhz: onGrid(likelyMhz), lowMhz, highMhz, known },
    answer: answerAt(desk, all, voltageMv),
  }));
  const lacking = lackingRun(desk, map);
  const [firstToRun] = answersByClock(map).filter((answer) => !answer.ran && !isPassedOver(desk, answer));
  const proofAt = (answer: Setting & { chance: number }): Proposal =>
    firstProofOf(desk, all, answer, becauseOfFirstProof(answer, answer, desk.wanted, clockUnitOf(desk)));
  if (lacking !== null) return proofAt(lacking);
  const openMv = voltagesWhere(points, ({ known }) => !known);
  const hotMv = voltagesWhere(points, ({ known, endsByHeat }) => known && endsByHeat);
  const unrunMv = voltagesWhere(map, ({ answer }) => answer !== null && !answer.ran);
  return {
    settled: { map },
    because: becauseSettledMap(points.length, { openMv, hotMv, unrunMv }),
    proof: firstToRun === undefined ? null : proofAt(firstToRun),
    nearer: null,
    leaveRunning: null,
    blocked: [...desk.blocked],
    taughtBy: desk.fit.taughtBy,
  };
}

const voltagesWhere = <Point extends { readonly voltageMv: number }>(
  points: readonly Point[],
  isSo: (point: Point) => boolean,
): number[] => points.filter(isSo).map(({ voltageMv }) => voltageMv);

/** The highest answer of the map, where nothing as hard has run long enough for it to be told as one. */
function lackingRun(desk: NextDesk, map: readonly MappedLimit[]): (Setting & { chance: number }) | null {
  const [highest] = answersByClock(map);
  return highest === undefined || highest.ran || isPassedOver(desk, highest) ? null : highest;
}

/** The highest first. */
const answersByClock = (map: readonly MappedLimit[]) =>
  map
    .flatMap(({ voltageMv, answer }) => (answer === null ? [] : [{ ...answer, voltageMv }]))
    .sort((a, b) => b.clockMhz - a.clockMhz || a.voltageMv - b.voltageMv);

/** The answer at one voltage, as a search there would give it. */
function answerAt(desk: NextDesk, all: LimitDraws, voltageMv: number): MappedLimit["answer"] {
  const ladder = ladderAtVoltage(voltageMv, desk.hazard)(desk);
  const { rung, chance } = ladderAnswerOf(ladder, all, desk.wanted, isRuledOutAt(desk));
  if (rung === null) return null;
  const setting = ladder.settingAt(rung);
  return { clockMhz: setting.clockMhz, chance, ran: hasRun(desk, setting) };
}
