import {
  allCoreLoad,
  idleLoad,
  type SimulatedBench,
  type SimulatedBoard,
  type SimulatedCooling,
  type SimulatedFans,
  type SimulatedWorkload,
} from "./simulatedBench.ts";
import type { SimulatedChip } from "./simulatedChip.ts";

/** The truth behind the demo's record: what its chip, boards and cases would do. All of it is invented. */
const tern8: SimulatedChip = {
  limitMhz: 4760,
  referenceMv: 1200,
  thresholdMv: 450,
  drive: 1.4,
  fixedDelayShare: 0.5,
  limitLossPerC: 0.00075,
  hazardWidthMhz: 10.5,
  strayPerMin: 1 / 60_000,
  switchingWPerV2Mhz: 0.01886,
  leakageW: 19,
  tempLimitC: 95,
};

const quayL: SimulatedBoard = { loadLineMilliohm: 0.35, clockLossMhz: 0, supplyRiseCPerW: 0.2 };
const quayS: SimulatedBoard = { loadLineMilliohm: 0.48, clockLossMhz: 8, supplyRiseCPerW: 0.34 };

const openFrame: SimulatedCooling = {
  resistanceCPerW: 0.405,
  mountFactor: 1,
  fastShare: 0.58,
  fastS: 11,
  slowS: 185,
};
const cupboard: SimulatedCooling = { ...openFrame, resistanceCPerW: 0.445, fastShare: 0.52, slowS: 260 };
const louvred: SimulatedCooling = { ...cupboard, resistanceCPerW: 0.424, slowS: 235 };

const openFans: SimulatedFans = { idleRpm: 640, fullRpm: 1750, fromC: 45, toC: 88, fullDba: 43 };
const quietFans: SimulatedFans = { idleRpm: 700, fullRpm: 1550, fromC: 50, toC: 90, fullDba: 41 };

const room = { ambientC: 21, driftCPerH: 0, backgroundDba: 28.4 };
const sensor = { stepC: 1, noiseC: 0.5, noiseTimeS: 12 };
const shared = { chip: tern8, room, sensor, runScatter: 0.009 };

export const demoBenches = {
  frameL: { ...shared, board: quayL, cooling: openFrame, fans: openFans },
  frameS: { ...shared, board: quayS, cooling: openFrame, fans: openFans },
  cupboardL: { ...shared, board: quayL, cooling: cupboard, fans: quietFans },
  cupboardS: { ...shared, board: quayS, cooling: cupboard, fans: quietFans },
  louvredS: { ...shared, board: quayS, cooling: louvred, fans: quietFans },
} as const satisfies Record<string, SimulatedBench>;

/** Another sample of the same model: it does a little less. */
export const spareBench: SimulatedBench = {
  ...demoBenches.frameS,
  chip: { ...tern8, limitMhz: 4710, hazardWidthMhz: 12 },
};

/** A smaller chip of another model. */
export const sixCores: SimulatedBench = {
  ...demoBenches.frameS,
  chip: { ...tern8, limitMhz: 4690, switchingWPerV2Mhz: 0.0146, leakageW: 14 },
};

export type DemoBuildKey = keyof typeof demoBenches;

export const demoLoads = {
  idle: idleLoad,
  stacking: allCoreLoad,
  solving: { kind: "mixed", activity: 0.72, liftMhz: 22 },
  capture: { kind: "everyday", activity: 0.42, liftMhz: 55 },
  bursts: { kind: "transition", activity: 0.5, liftMhz: -12 },
} as const satisfies Record<string, SimulatedWorkload>;

export type DemoLoadKey = keyof typeof demoLoads;
