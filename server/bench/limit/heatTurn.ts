import type { Vector } from "../../numerics/cholesky.ts";

/**
 * Near the threshold of its transistors a warmer chip may be the faster one (temperature inversion of delay: common
 * practice). What a degree costs is the same down to this share of the reference voltage; below, it falls by the turn for
 * each e-fold of voltage, through nothing and to the other side. As a logarithm.
 */
const turnsBelow = Math.log(0.82);

/**
 * The turn before any attempt: a clock that goes as (V - 0.35)^1.3 of a reference of 1 V, its threshold falling by 0.8 mV a
 * degree, has one of four to five; none at all is a deviation away.
 */
const turnPrior = { mean: 4, sd: 4 };

/**
 * The turn hinges on this temperature, about where a chip stands that is loaded so low (common practice): it says what
 * another room or cooler does there, and leaves what the voltage does to slope and bend.
 */
export const lowReferenceTempC = 50;

/** Runs that differ by less say nothing of what heat does. */
const tellingC = 10;

/** How far a voltage lies below where heat may turn, in e-folds, from its logarithm over the reference; 0 above. */
export const depthBelowTurn = (logVoltage: number): number => Math.max(0, turnsBelow - logVoltage);

/** Whether runs so low were warm enough apart to tell what heat does there. */
export function tellsTurn(
  records: readonly Readonly<{ voltageMv: number; steadyTempC: number }>[],
  referenceMv: number,
): boolean {
  let [coldest, hottest] = [Number.POSITIVE_INFINITY, Number.NEGATIVE_INFINITY];
  for (const { voltageMv, steadyTempC } of records) {
    if (depthBelowTurn(Math.log(voltageMv / referenceMv)) === 0) continue;
    coldest = Math.min(coldest, steadyTempC);
    hottest = Math.max(hottest, steadyTempC);
  }
  return hottest - coldest >= tellingC;
}

/** The turn at a point; its coordinate is the last. */
export const turnAt = (at: Vector): number => turnPrior.mean + turnPrior.sd * at[at.length - 1]!;

/** How the turn moves with its coordinate. */
export const turnSlope = turnPrior.sd;
