import { type Particles, pointOf } from "../../numerics/particles.ts";
import { depthBelowTurn, lowReferenceTempC } from "./heatTurn.ts";
import type { LimitFit } from "./limitFit.ts";
import { hazardOf } from "./limitModel.ts";
import { logHazardAtLimit, parametersAt, referenceTempC, workloadDeviation } from "./limitParameters.ts";
import { chanceOfStarts, startsSurelyUnder } from "./startThreshold.ts";

/** The draws of a fit, their parameters spelt out, for one workload; asked for clocks, hazards and voltages. */
export type LimitDraws = Readonly<{
  count: number;
  weights: Float64Array;
  /** ln limit at the reference voltage and temperature, the workload included. */
  logLimit: Float64Array;
  slope: Float64Array;
  halfBend: Float64Array;
  sigma: Float64Array;
  heat: Float64Array;
  /** By how much of itself that falls for each e-fold of voltage far down; 0 where nothing tells. */
  turn: Float64Array;
  stray: Float64Array;
  /** How far up the starts on record went under each draw; worked out when first asked for. */
  starts: () => StartsOfDraws;
  roomC: number;
  workloadId: string | null;
  fit: LimitFit;
}>;

/** In e-folds above once an hour, for each draw: the lowest start that failed, the highest that came up, and the chance of both. */
type StartsOfDraws = Readonly<{ failed: Float64Array; up: Float64Array; chance: Float64Array }>;

/** A workload that was never run is taken to be as heavy as the heaviest. */
export function limitDrawsOf(
  fit: LimitFit,
  draws: Particles,
  workloadId: string | null,
  roomC: number = fit.heat.roomC,
): LimitDraws {
  const index = workloadId === null ? undefined : fit.model.workloadPlace(workloadId);
  const blank = (): Float64Array => new Float64Array(draws.count);
  const drawn = {
    logLimit: blank(),
    slope: blank(),
    halfBend: blank(),
    sigma: blank(),
    heat: blank(),
    turn: blank(),
    stray: blank(),
  };
  for (let k = 0; k < draws.count; k++) {
    const at = pointOf(draws, k);
    const p = parametersAt(at, fit.frame);
    drawn.logLimit[k] = p.logLimit + (index === undefined ? 0 : workloadDeviation * at[index]!);
    drawn.slope[k] = p.slope;
    drawn.halfBend[k] = p.halfBend;
    drawn.sigma[k] = p.sigma;
    drawn.heat[k] = p.heat;
    drawn.turn[k] = p.turn;
    drawn.stray[k] = p.stray;
  }
  let known: StartsOfDraws | undefined;
  const starts = (): StartsOfDraws => {
    known ??= startsOf(fit, draws);
    return known;
  };
  return { count: draws.count, weights: draws.weights, ...drawn, starts, roomC, workloadId, fit };
}

function startsOf({ model }: LimitFit, draws: Particles): StartsOfDraws {
  const blank = (): Float64Array => new Float64Array(draws.count);
  const starts = { failed: blank(), up: blank(), chance: blank() };
  for (let k = 0; k < draws.count; k++) {
    const { failed, up } = model.startsAt(pointOf(draws, k));
    starts.failed[k] = failed;
    starts.up[k] = up;
    starts.chance[k] = chanceOfStarts(failed, up);
  }
  return starts;
}

/** For each draw, the chance that it starts where its hazard, once levelled, is the one given: as what started and what did not says. */
export function chancesOfStart(draws: LimitDraws, hazards: Float64Array): Float64Array {
  const { failed, up, chance } = draws.starts();
  return hazards.map((hazard, k) => {
    const efolds = Math.log(hazard) - logHazardAtLimit;
    if (!(efolds > Math.max(up[k]!, startsSurelyUnder)) || chance[k]! < 1e-9) return 1;
    return Math.min(1, chanceOfStarts(failed[k]!, efolds) / chance[k]!);
  });
}

/** At one voltage, the rise as a power of the clock: what the law of heat says near the clocks that matter. */
type RiseOverClock = Readonly<{ riseC: number; atLogClock: number; power: number }>;

function riseOverClock({ fit, workloadId }: LimitDraws, voltageMv: number): RiseOverClock {
  const atMhz = fit.frame.clockMhz;
  const riseC = fit.heat.riseC(atMhz, voltageMv, workloadId);
  const further = fit.heat.riseC(1.1 * atMhz, voltageMv, workloadId);
  const power = riseC > 0 && further > 0 ? Math.log(further / riseC) / Math.log(1.1) : 0;
  return { riseC, atLogClock: Math.log(atMhz), power };
}

/**
 * For each draw, the clock at which the hazard from the clock alone is the one given, at the temperature expected there.
 */
export function clocksAtHazard(draws: LimitDraws, voltageMv: number, hazardPerMinute: number): Float64Array {
  const rise = riseOverClock(draws, voltageMv);
  const x = Math.log(voltageMv / draws.fit.frame.voltageMv);
  const toHazard = Math.log(hazardPerMinute) - logHazardAtLimit;
  const heats = heatsAt(draws, x);
  return draws.logLimit.map((logLimit, k) => {
    const cool =
      logLimit +
      draws.slope[k]! * x -
      draws.halfBend[k]! * x * x +
      draws.sigma[k]! * toHazard -
      heats[k]! * (draws.roomC - referenceTempC) +
      (draws.heat[k]! - heats[k]!) * hingeC;
    return Math.exp(warmedLogClock(cool, heats[k]!, rise));
  });
}

/** Where heat turns it does so about a lower temperature: what it no longer costs from there on is no gain. */
const hingeC = referenceTempC - lowReferenceTempC;

/** For each draw, the share of clock that a degree costs at a voltage; below nothing where it helps. */
function heatsAt({ heat, turn }: LimitDraws, logVoltage: number): Float64Array {
  const depth = depthBelowTurn(logVoltage);
  return depth === 0 ? heat : heat.map((cost, k) => cost * (1 - turn[k]! * depth));
}

/** Draws of no weight may lie anywhere; clocks are kept between 1 MHz and 1 THz so that they stay numbers. */
const highestLogClock = Math.log(1e6);

/** Solves y = cool - c rise(y) by three Newton steps: the rise moves the limit by a few percent only. */
function warmedLogClock(cool: number, heat: number, { riseC, atLogClock, power }: RiseOverClock): number {
  let y = cool;
  for (let step = 0; step < 3; step++) {
    const loss = heat * riseC * Math.exp(power * Math.min(y - atLogClock, 3));
    y -= (y - cool + loss) / (1 + power * loss);
  }
  return Math.min(Math.max(y, 0), highestLogClock) || 0;
}

/** For each draw, the hazard per minute from the clock alone, once levelled, at a setting. */
export function hazardsAt(draws: LimitDraws, clockMhz: number, voltageMv: number): Float64Array {
  const steadyC = draws.roomC + draws.fit.heat.riseC(clockMhz, voltageMv, draws.workloadId);
  const x = Math.log(voltageMv / draws.fit.frame.voltageMv);
  const y = Math.log(clockMhz);
  const heats = heatsAt(draws, x);
  return draws.logLimit.map((logLimit, k) => {
    const mu =
      logLimit +
      draws.slope[k]! * x -
      draws.halfBend[k]! * x * x -
      heats[k]! * (steadyC - referenceTempC) +
      (draws.heat[k]! - heats[k]!) * hingeC;
    return hazardOf(logHazardAtLimit + (y - mu) / draws.sigma[k]!);
  });
}

/**
 * The chance that a setting passes so many levelled hours, from the clock alone, over all that is believed: what is known
 * of the chip, not how often it fails.
 */
export function chanceOfHours(
  draws: LimitDraws,
  { clockMhz, voltageMv }: Readonly<{ clockMhz: number; voltageMv: number }>,
  hours: number,
): number {
  const hazards = hazardsAt(draws, clockMhz, voltageMv);
  let chance = 0;
  for (let k = 0; k < draws.count; k++) chance += draws.weights[k]! * Math.exp(-60 * hours * hazards[k]!);
  return Math.min(1, chance);
}

/**
 * For each draw, the lowest voltage between the two given that holds a clock at the hazard given; Infinity where none
 * does. More voltage helps only until the bend and the heat take it back, so the search stays below that point.
 */
export function voltagesForClock(
  draws: LimitDraws,
  clockMhz: number,
  hazardPerMinute: number,
  range: Readonly<{ lowMv: number; highMv: number }>,
): Float64Array {
  const grid = 48;
  const at = (i: number): number => range.lowMv * (range.highMv / range.lowMv) ** (i / grid);
  const lowest = new Float64Array(draws.count).fill(Infinity);
  let below = clocksAtHazard(draws, at(0), hazardPerMinute);
  for (let k = 0; k < draws.count; k++) if (below[k]! >= clockMhz) lowest[k] = range.lowMv;
  for (let i = 1; i <= grid; i++) {
    const here = clocksAtHazard(draws, at(i), hazardPerMinute);
    for (let k = 0; k < draws.count; k++) {
      if (lowest[k]! < Infinity || here[k]! < clockMhz) continue;
      const share = (clockMhz - below[k]!) / (here[k]! - below[k]!);
      lowest[k] = at(i - 1) + share * (at(i) - at(i - 1));
    }
    below = here;
  }
  return lowest;
}
