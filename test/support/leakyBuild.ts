import type { SeededRandom } from "../../server/numerics/seededRandom.ts";

/**
 * A build whose power and heat are known: switching, leakage that grows e-fold over a third of a volt or so and by 0.4 to
 * 1 % a degree, a cooler of one resistance that each mount changes by some 4 %.
 */
export type LeakyBuild = Readonly<{
  /** W per V²·MHz. */
  switched: number;
  /** Leakage at 1.2 V and 65 °C. */
  leakW: number;
  perVolt: number;
  perC: number;
  resistanceCPerW: number;
}>;

const reference = { volts: 1.2, tempC: 65 };

export const leakyBuild = (random: SeededRandom): LeakyBuild => ({
  switched: random.uniformIn(80, 130) / (1.2 ** 2 * 4600),
  leakW: random.uniformIn(10, 40),
  perVolt: random.uniformIn(2, 4),
  perC: random.uniformIn(0.004, 0.01),
  resistanceCPerW: random.uniformIn(0.22, 0.38),
});

export type Setting = Readonly<{ volts: number; clockMhz: number }>;

export const leakageW = (build: LeakyBuild, volts: number, tempC: number): number =>
  ((build.leakW * volts) / reference.volts) *
  Math.exp(build.perVolt * (volts - reference.volts) + build.perC * (tempC - reference.tempC));

export const leakyPowerW = (build: LeakyBuild, { volts, clockMhz }: Setting, tempC: number): number =>
  build.switched * volts ** 2 * clockMhz + leakageW(build, volts, tempC);

/** Where it levels in a room, the cooler so much worse or better than usual. */
export function leakySteadyC(build: LeakyBuild, setting: Setting, roomC: number, mountShare = 1): number {
  let tempC = 60;
  for (let round = 0; round < 60; round++)
    tempC = Math.min(200, roomC + mountShare * build.resistanceCPerW * leakyPowerW(build, setting, tempC));
  return tempC;
}

/** Settings as a tester tries them: a voltage and a clock near what it carries. */
export const triedSettings = (random: SeededRandom, count: number): Setting[] =>
  Array.from({ length: count }, () => {
    const volts = 1.1 + 0.0125 * random.index(13);
    return { volts, clockMhz: 25 * Math.round((4350 + 3000 * (volts - 1.1) + 80 * random.normal()) / 25) };
  });

/** One such build, and settings of it wide enough apart in clock and voltage that its leakage shows. */
export const oneLeakyBuild: LeakyBuild = {
  switched: 0.02,
  leakW: 22,
  perVolt: 3,
  perC: 0.007,
  resistanceCPerW: 0.3,
};
export const widelySet = [
  [4300, 1100],
  [4450, 1150],
  [4600, 1200],
  [4600, 1250],
  [4400, 1250],
  [4800, 1300],
] as const;
