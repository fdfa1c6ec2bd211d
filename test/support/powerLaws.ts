import type { SeededRandom } from "../../server/numerics/seededRandom.ts";
import { leakageW, leakyBuild, leakyPowerW, type Setting } from "./leakyBuild.ts";

/** What a build truly draws. */
export type PowerLaw = Readonly<{
  resistanceCPerW: number;
  /** W per V²·MHz of what the clock switches, at a voltage. */
  switchedAt: (volts: number) => number;
  /** What is there without the clock. */
  staticW: (volts: number, tempC: number) => number;
  powerW: (setting: Setting, tempC: number) => number;
}>;

/** The law that the fit has too. */
export function ownLaw(random: SeededRandom): PowerLaw {
  const build = leakyBuild(random);
  return {
    resistanceCPerW: build.resistanceCPerW,
    switchedAt: () => build.switched,
    staticW: (volts, tempC) => leakageW(build, volts, tempC),
    powerW: (setting, tempC) => leakyPowerW(build, setting, tempC),
  };
}

/** Where it levels in a room, the cooler so much worse or better than usual. */
export function steadyC(law: PowerLaw, setting: Setting, roomC: number, mountShare: number): number {
  let tempC = 60;
  for (let round = 0; round < 60; round++)
    tempC = Math.min(200, roomC + mountShare * law.resistanceCPerW * law.powerW(setting, tempC));
  return tempC;
}
