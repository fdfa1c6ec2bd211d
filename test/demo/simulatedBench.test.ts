import { describe, expect, it } from "vitest";
import {
  allCoreLoad,
  fanRpmAt,
  hazardPerMinAt,
  inRoom,
  remounted,
  soundLevelDba,
  steadyStateOf,
} from "../../server/demo/simulatedBench.ts";
import { chipPowerW } from "../../server/demo/simulatedChip.ts";
import { seededRandom } from "../../server/numerics/seededRandom.ts";
import { acceptableClockMhz, drawnBench, steadyHazardPerMin } from "../support/drawnBench.ts";

const setting = { clockMhz: 5000, voltageMv: 1250 };
const bench = drawnBench(seededRandom(3));

describe("steadyStateOf", () => {
  it("balances heat, power and droop", () => {
    const drooping = { ...bench, board: { ...bench.board, loadLineMilliohm: 0.8 } };
    const steady = steadyStateOf(drooping, setting, allCoreLoad);
    const { clockMhz } = setting;
    expect(chipPowerW(bench.chip, clockMhz, steady.loadVoltageMv, steady.tempC, 1)).toBeCloseTo(
      steady.powerW,
      6,
    );
    expect(bench.cooling.resistanceCPerW * steady.powerW).toBeCloseTo(steady.riseC, 6);
    expect(setting.voltageMv - 0.8 * steady.currentA).toBeCloseTo(steady.loadVoltageMv, 6);
  });

  it("moves with the room, a little more than degree for degree because leakage follows", () => {
    const cool = steadyStateOf(inRoom(bench, { ambientC: 18 }), setting, allCoreLoad);
    const warm = steadyStateOf(inRoom(bench, { ambientC: 28 }), setting, allCoreLoad);
    expect(warm.tempC - cool.tempC).toBeGreaterThan(10);
    expect(warm.tempC - cool.tempC).toBeLessThan(13);
  });
});

describe("acceptableClockMhz", () => {
  it("is where nine in ten hours pass once all has levelled out", () => {
    const clockMhz = acceptableClockMhz(bench, 1250);
    expect(Math.exp(-60 * steadyHazardPerMin(bench, { clockMhz, voltageMv: 1250 }, allCoreLoad))).toBeCloseTo(
      0.9,
      6,
    );
  });

  it("rises with voltage and falls with a stricter target", () => {
    expect(acceptableClockMhz(bench, 1300)).toBeGreaterThan(acceptableClockMhz(bench, 1200));
    const unattended = acceptableClockMhz(bench, 1250, allCoreLoad, { chance: 0.99, hours: 24 });
    expect(unattended).toBeLessThan(acceptableClockMhz(bench, 1250));
  });

  it("loses what the board takes and gains what a lighter load leaves", () => {
    const worse = { ...bench, board: { ...bench.board, clockLossMhz: 30 } };
    const cold = { ...bench, cooling: { ...bench.cooling, resistanceCPerW: 0 } };
    expect(acceptableClockMhz({ ...worse, cooling: cold.cooling }, 1250)).toBeCloseTo(
      acceptableClockMhz(cold, 1250) - 30,
      5,
    );
    expect(acceptableClockMhz(cold, 1250, { ...allCoreLoad, liftMhz: 40 })).toBeCloseTo(
      acceptableClockMhz(cold, 1250) + 40,
      5,
    );
  });
});

describe("hazardPerMinAt", () => {
  it("is that of the steady state at the steady temperature", () => {
    const steady = steadyStateOf(bench, setting, allCoreLoad);
    expect(hazardPerMinAt(bench, setting, allCoreLoad, steady.loadVoltageMv, steady.tempC)).toBe(
      steadyHazardPerMin(bench, setting, allCoreLoad),
    );
  });
});

describe("remounted", () => {
  it("scatters the rise by the deviation asked for, over 2,000 mounts", () => {
    const random = seededRandom(11);
    const factors = Array.from({ length: 2000 }, () => remounted(bench, random, 0.03).cooling.mountFactor);
    const mean = factors.reduce((sum, each) => sum + each, 0) / factors.length;
    const deviation = Math.sqrt(
      factors.reduce((sum, each) => sum + (each - mean) ** 2, 0) / (factors.length - 1),
    );
    expect(Math.abs(mean - 1)).toBeLessThan(0.003);
    expect(deviation).toBeGreaterThan(0.0283);
    expect(deviation).toBeLessThan(0.0317);
  });
});

describe("soundLevelDba", () => {
  it("is the background plus 3 dB where fans and background are equally loud", () => {
    const loud = inRoom(bench, { backgroundDba: bench.fans.fullDba });
    expect(soundLevelDba(loud, 120)).toBeCloseTo(bench.fans.fullDba + 3.0103, 4);
  });

  // Fan law of common practice: fifty times the logarithm of the speed, so 15 dB for half of it.
  it("falls by 15 dB at half the speed", () => {
    const half = { ...bench, fans: { ...bench.fans, idleRpm: 900, fullRpm: 1800 } };
    const silent = inRoom(half, { backgroundDba: -40 });
    expect(soundLevelDba(silent, 100) - soundLevelDba(silent, 20)).toBeCloseTo(15.05, 1);
    expect(fanRpmAt(half.fans, 65)).toBe(1350);
  });
});
