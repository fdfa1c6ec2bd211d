import type { LimitFit } from "../../server/bench/limit/limitFit.ts";
import type { LimitDraws } from "../../server/bench/limit/limitReach.ts";

type Known = Readonly<{
  /** The clock of each draw's limit at 1200 mV and 70 °C. */
  limitsMhz: readonly number[];
  /** By how much of itself what a degree costs falls, draw by draw; by nothing where it is not said. */
  turns?: readonly number[];
  roomC?: number;
  /** How far above its room the chip stands at 5 GHz, and as which power of the clock that grows. */
  riseC?: number;
  power?: number;
  /** Stray crashes a minute; none where it is not said. */
  strayPerMinute?: number;
}>;

/** Draws of equal weight that nobody fitted: what is believed is what is written here. */
export function knownDraws({
  limitsMhz,
  turns,
  roomC = 20,
  riseC = 30,
  power = 0,
  strayPerMinute = 0,
}: Known): LimitDraws {
  const count = limitsMhz.length;
  const all = (value: number): Float64Array => new Float64Array(count).fill(value);
  return {
    ...{ count, weights: all(1 / count), roomC, workloadId: null },
    logLimit: Float64Array.from(limitsMhz, Math.log),
    ...{
      slope: all(0.6),
      halfBend: all(0.4),
      sigma: all(0.004),
      heat: all(0.001),
      stray: all(strayPerMinute),
    },
    turn: turns ? Float64Array.from(turns) : all(0),
    starts: () => ({ failed: all(Infinity), up: all(-Infinity), chance: all(1) }),
    fit: {
      frame: { voltageMv: 1200, clockMhz: 5000 },
      heat: { roomC, riseC: (clockMhz: number) => riseC * (clockMhz / 5000) ** power },
    } as unknown as LimitFit,
  };
}
