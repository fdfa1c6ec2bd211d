import { resampled } from "../../numerics/particles.ts";
import { limitDrawsOf } from "../limit/limitReach.ts";
import type { NextAnswer, Settled } from "./nextAnswer.ts";
import { clockGrid, type Desk, durationsFor, nothingAllowed, refusesAt, underCeiling } from "./nextDesk.ts";
import { type Choice, planFrom } from "./nextPlan.ts";
import { proposalOf } from "./nextProposal.ts";
import { becauseOfMapTrial, becauseSettledMap } from "./nextWords.ts";
import {
  bestMapTrialOf,
  type MapPoint,
  type MapTrial,
  mapPointsOf,
  worthwhileNarrowing,
} from "./voltageMap.ts";

/** So many draws are enough to weigh proposals for a whole map. */
const mapDraws = 300;

export function overVoltages(desk: Desk, askedMv: readonly number[]): NextAnswer {
  const voltages = [...new Set(askedMv.map((voltageMv) => underCeiling(desk, voltageMv)))];
  const { stepMhz } = clockGrid(desk);
  const all = limitDrawsOf(desk.fit, desk.fit.draws, desk.workloadId);
  const known = mapPointsOf(all, voltages, desk.hazard, stepMhz);
  if (known.every((point) => point.known)) return settledMap(desk, known);
  const few = limitDrawsOf(desk.fit, resampled(desk.fit.draws, mapDraws, 0.5), desk.workloadId);
  const choice: Choice<MapTrial> = (at, draws) => {
    const points = mapPointsOf(draws, voltages, desk.hazard, stepMhz);
    const reach = at.bounds.highestMv ?? Infinity;
    const reachable = [...new Set(voltages.map((voltageMv) => Math.min(voltageMv, reach)))];
    const inReach = mapPointsOf(draws, reachable, desk.hazard, stepMhz);
    const durations = durationsFor(at);
    const refuses = refusesAt(at);
    return bestMapTrialOf(points, draws, { ...clockGrid(at), inReach, durations, costs: at.costs, refuses });
  };
  const trial = choice(desk, few);
  if (trial === null) return nothingAllowed(desk);
  if (trial.narrowingPerMinute < worthwhileNarrowing) return settledMap(desk, known);
  const [point] = mapPointsOf(all, [trial.voltageMv], desk.hazard, stepMhz) as [MapPoint];
  const open = known.filter((one) => !one.known).length;
  const because = becauseOfMapTrial(trial, point, open, voltages.length);
  return { ...proposalOf(desk, all, trial, "map", because), plan: planFrom(desk, few, trial, choice) };
}

function settledMap(desk: Desk, points: readonly MapPoint[]): Settled {
  const { originMhz, stepMhz } = clockGrid(desk);
  const onGrid = (clockMhz: number): number =>
    Math.round((originMhz + Math.floor((clockMhz - originMhz) / stepMhz + 1e-9) * stepMhz) * 1000) / 1000;
  const map = points.map(({ voltageMv, likelyMhz, lowMhz, highMhz, known }) => ({
    voltageMv,
    clockMhz: onGrid(likelyMhz),
    lowMhz,
    highMhz,
    known,
  }));
  const open = points.filter(({ known }) => !known).map(({ voltageMv }) => voltageMv);
  return {
    settled: { map },
    because: becauseSettledMap(points.length, open, stepMhz),
    proof: null,
    nearer: null,
    leaveRunning: null,
    blocked: [...desk.blocked],
    taughtBy: desk.fit.taughtBy,
  };
}
