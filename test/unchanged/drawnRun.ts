import type { SeededRandom } from "../../server/numerics/seededRandom.ts";
import { oneOf, saidOf } from "./chosen.ts";

/** A machine that is drawn once: no promise is made of it, it only has to fail now and then in every way there is. */
export type DrawnMachine = Readonly<{
  limitMhz: number;
  atMv: number;
  mhzPerMv: number;
  widthMhz: number;
  riseCPerW: number;
  roomC: number;
}>;

export const drawnMachine = (random: SeededRandom, limitMhz: number, atMv: number): DrawnMachine => ({
  ...{ limitMhz: limitMhz + 40 * random.normal(), atMv },
  ...{ mhzPerMv: random.uniformIn(1.1, 1.9), widthMhz: random.uniformIn(8, 25) },
  ...{ riseCPerW: random.uniformIn(0.28, 0.4), roomC: random.uniformIn(19, 26) },
});

const wattsOf = (clockMhz: number, voltageMv: number, share: number): number =>
  12 + 95 * share * (clockMhz / 4000) * (voltageMv / 1100) ** 2;

const tenth = (value: number): number => Math.round(value * 10) / 10;

const crashes = ["freeze", "restart", "system-error", "app-closed", "wrong-result", "died"] as const;

/** One run of a machine at a clock and a voltage: how it ended, and what was read of it, not everything each time. */
export function drawnRun(
  machine: DrawnMachine,
  at: Readonly<{ clockMhz: number; voltageMv: number; minutes: number; share: number }>,
  random: SeededRandom,
) {
  const { clockMhz, voltageMv, minutes, share } = at;
  const ambientC = tenth(machine.roomC + random.normal());
  const powerW = tenth(wattsOf(clockMhz, voltageMv, share) + random.normal());
  const loadTempC = tenth(ambientC + powerW * machine.riseCPerW + random.normal());
  const limit = machine.limitMhz + machine.mhzPerMv * (voltageMv - machine.atMv) - 1.2 * (loadTempC - 60);
  const failsAfterS = (3600 * random.exponential()) / Math.exp((clockMhz - limit) / machine.widthMhz);
  const plannedS = minutes * 60;
  const failed = failsAfterS < plannedS;
  const whole = Math.max(1, Math.round(failsAfterS));
  return {
    ...{ outcome: failed ? (whole < 4 ? "no-start" : oneOf(random, crashes)) : "pass" },
    ...{ durationS: failed ? whole : plannedS },
    ...saidOf(random, {
      plannedS: [0.7, plannedS],
      ambientC: [0.85, ambientC],
      loadTempC: [0.85, loadTempC],
      peakTempC: [0.4, tenth(loadTempC + 2.5 + random.uniform())],
      startTempC: [0.2, tenth(ambientC + 9)],
      supplyTempC: [0.3, tenth(ambientC + 0.31 * powerW)],
      powerW: [0.6, powerW],
      loadVoltageMv: [0.4, tenth(voltageMv - 0.21 * powerW)],
      voltageReadAt: [0.9, "board"],
      currentA: [0.2, tenth((powerW * 1000) / voltageMv)],
      fanRpm: [0.5, 900 + 50 * random.index(12)],
      fanMode: [0.3, oneOf(random, ["quiet", "full"])],
      effectiveClockMhz: [0.3, clockMhz - random.index(9)],
      startKind: [0.3, oneOf(random, ["cold", "warm", "restart"])],
      correctedErrors: [0.15, random.index(3)],
      score: [0.4, tenth(clockMhz / 130 + 0.2 * random.normal())],
      tags: [0.1, ["evening"]],
    }),
  };
}
