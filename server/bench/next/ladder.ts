import type { LimitDraws } from "../limit/limitReach.ts";
import type { ClockSteps } from "../things/clockSteps.ts";
import type { Setting } from "../things/setting.ts";

/**
 * Settings in one row, each harder than the one before: clocks upward at one voltage, or voltages downward at one clock.
 * The question is which is the last acceptable one.
 */
export type Ladder = Readonly<{
  /** The setting of a rung; rungs are whole numbers, and may be negative. */
  settingAt: (rung: number) => Setting;
  /** For each draw, the highest acceptable rung; where heat sets an end, no higher than that. */
  lastAcceptable: (draws: LimitDraws) => Float64Array;
  /** The easiest rung there is; -Infinity where there is no end. */
  easiest: number;
  /** The hardest rung in reach yet. */
  hardest: number;
  /** The hardest rung that heat lets be an answer; Infinity where it sets no end within reach. */
  mostByHeat: number;
  /** How many rungs the middle may lie above what is nearly sure for the answer to be near enough. */
  nearEnough: (rung: number) => number;
  /** Near enough, a search goes on only while an attempt tells more than this, in nats a minute: then it is still cheap. */
  tellingPerMinute: number;
}>;

/** Near enough is one step, or this share of the clock or of the voltage where that is more. */
const nearEnoughShare = { clock: 0.01, voltage: 0.03 };

/** A step of voltage is worth less clock than a step of clock: the last of them are not worth as much time. */
const telling = { clock: 0.006, voltage: 0.009 };

const rungsIn = (share: number, level: number, step: number): number =>
  Math.max(1, Math.round((share * level) / step));

/** Clocks upward at one voltage, of those that can be set. */
export function clockLadder(
  voltageMv: number,
  grid: Readonly<{
    steps: ClockSteps;
    highestMhz: number;
    isTooWarm: (setting: Setting) => boolean;
  }>,
  acceptedClocks: (draws: LimitDraws) => Float64Array,
): Ladder {
  const { steps, highestMhz, isTooWarm } = grid;
  const { rungOf, clockAt, stepMhz, first } = steps;
  const settingAt = (rung: number): Setting => ({ clockMhz: clockAt(rung), voltageMv });
  const hardest = rungOf(highestMhz);
  const cool = hardestFrom(hardest, { settingAt, easiest: first }, (rung) => !isTooWarm(settingAt(rung)));
  const mostByHeat = cool === null || cool === hardest ? Number.POSITIVE_INFINITY : cool;
  const lastUnder = (mhz: number): number =>
    rungOf(mhz) < first ? Number.NEGATIVE_INFINITY : Math.min(rungOf(mhz), mostByHeat);
  return {
    settingAt,
    nearEnough: (rung) => rungsIn(nearEnoughShare.clock, clockAt(rung), stepMhz),
    lastAcceptable: (draws) => acceptedClocks(draws).map(lastUnder),
    easiest: first,
    hardest,
    mostByHeat,
    tellingPerMinute: telling.clock,
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
    easiest: Number.NEGATIVE_INFINITY,
    hardest: rungOf(lowestMv),
    mostByHeat: Number.POSITIVE_INFINITY,
    tellingPerMinute: telling.voltage,
  };
}

const toThousandths = (value: number): number => Math.round(value * 1000) / 1000;

/** So far down an answer is looked for: beyond, there is none. */
const mostRungsDown = 4000;

/** The first rung downward that will do: by leaps that double, then by halving; where easier rungs do whenever harder ones do. */
export function hardestFrom(
  start: number,
  { settingAt, easiest }: Pick<Ladder, "settingAt" | "easiest">,
  does: (rung: number) => boolean,
): number | null {
  if (start < easiest) return null;
  if (does(start)) return start;
  let fails = start;
  let leap = 1;
  const under = (): number => Math.max(easiest, fails - leap);
  const exists = (): boolean => fails > easiest && settingAt(under()).clockMhz > 0;
  while (exists() && !does(under())) {
    fails = under();
    leap *= 2;
    if (leap > mostRungsDown) return null;
  }
  if (!exists()) return null;
  let works = under();
  while (fails - works > 1) {
    const middle = Math.floor((fails + works) / 2);
    if (does(middle)) works = middle;
    else fails = middle;
  }
  return works;
}
