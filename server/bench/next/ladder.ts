import type { LimitDraws } from "../limit/limitReach.ts";
import type { Setting } from "../things/setting.ts";

/**
 * Settings in one row, each harder than the one before: clocks upward at one voltage, or voltages downward at one clock.
 * The question is which is the last acceptable one.
 */
export type Ladder = Readonly<{
  /** The setting of a rung; rungs are whole numbers, and may be negative. */
  settingAt: (rung: number) => Setting;
  /** For each draw, the highest acceptable rung. */
  lastAcceptable: (draws: LimitDraws) => Float64Array;
  /** The hardest rung that may be tried. */
  hardest: number;
  /** How many rungs the middle may lie above what is nearly sure for the answer to be near enough. */
  nearEnough: (rung: number) => number;
}>;

/** Near enough is one step, or this share of the clock or of the voltage where that is more. */
const nearEnoughShare = { clock: 0.01, voltage: 0.025 };

const rungsIn = (share: number, level: number, step: number): number =>
  Math.max(1, Math.round((share * level) / step));

/** Clocks upward at one voltage, on a grid counted from `originMhz`. */
export function clockLadder(
  voltageMv: number,
  grid: Readonly<{ originMhz: number; stepMhz: number; highestMhz: number }>,
  acceptedClocks: (draws: LimitDraws) => Float64Array,
): Ladder {
  const { originMhz, stepMhz, highestMhz } = grid;
  const rungOf = (clockMhz: number): number => Math.floor((clockMhz - originMhz) / stepMhz + 1e-9);
  const clockAt = (rung: number): number => toThousandths(originMhz + rung * stepMhz);
  return {
    settingAt: (rung) => ({ clockMhz: clockAt(rung), voltageMv }),
    nearEnough: (rung) => rungsIn(nearEnoughShare.clock, clockAt(rung), stepMhz),
    lastAcceptable: (draws) => acceptedClocks(draws).map(rungOf),
    hardest: rungOf(highestMhz),
  };
}

/** Voltages downward at one clock, on a grid counted from `originMv`: rung 0 is the highest allowed. */
export function voltageLadder(
  clockMhz: number,
  grid: Readonly<{ originMv: number; stepMv: number; highestMv: number; lowestMv: number }>,
  neededVoltages: (draws: LimitDraws) => Float64Array,
): Ladder {
  const { originMv, stepMv, highestMv, lowestMv } = grid;
  const topMv = originMv + Math.floor((highestMv - originMv) / stepMv + 1e-9) * stepMv;
  const rungOf = (voltageMv: number): number =>
    voltageMv === Infinity ? -Infinity : Math.floor((topMv - voltageMv) / stepMv + 1e-9);
  const voltageAt = (rung: number): number => toThousandths(topMv - rung * stepMv);
  return {
    settingAt: (rung) => ({ clockMhz, voltageMv: voltageAt(rung) }),
    nearEnough: (rung) => rungsIn(nearEnoughShare.voltage, voltageAt(rung), stepMv),
    lastAcceptable: (draws) => neededVoltages(draws).map(rungOf),
    hardest: rungOf(lowestMv),
  };
}

const toThousandths = (value: number): number => Math.round(value * 1000) / 1000;
