import type { SeededRandom } from "../../server/numerics/seededRandom.ts";
import { evidenceRow } from "./evidenceRows.ts";
import { benchCosts, type Ran, type Subject, type Trial } from "./subject.ts";

export type { Trial } from "./subject.ts";

/**
 * A chip whose truth is known, made of other stuff than the fit assumes: delay by the alpha-power law (T. Sakurai and
 * A. R. Newton, IEEE JSSC 25, 1990), to a share independent of voltage; its own warm-up, leakage and failure rate.
 */
export const chipKinds = ["alpha-power", "mixed", "mostly fixed delay"] as const;
export type SimulatedKind = (typeof chipKinds)[number];

export type SimulatedChip = Readonly<{
  kind: SimulatedKind;
  /** The clock at which it fails once an hour, at 1250 mV and 80 °C. */
  limitMhz: number;
  thresholdV: number;
  alpha: number;
  fixedShare: number;
  heatPerC: number;
  /** The hazard grows e-fold over so many MHz. */
  softnessMhz: number;
  resistanceCPerW: number;
  leakageW: number;
  roomC: number;
  quickMinutes: number;
  slowMinutes: number;
  quickShare: number;
  /** Crashes per minute that no setting explains. */
  strayPerMinute: number;
}>;

const referenceV = 1.25;
const limitTempC = 80;
export const perMinuteAtLimit = 1 / 60;

export function simulatedChip(
  kind: SimulatedKind,
  random: SeededRandom,
  differing: Partial<SimulatedChip> = {},
): SimulatedChip {
  const limitMhz = differing.limitMhz ?? boundedNormal(random, 5200, 200, 4600, 5800);
  const thresholdV = random.uniformIn(0.3, 0.6);
  const alpha = random.uniformIn(1.2, 1.6);
  return {
    kind,
    limitMhz,
    thresholdV,
    alpha,
    fixedShare: fixedShareOf(kind, random, (alpha * referenceV) / (referenceV - thresholdV) - 1, limitMhz),
    heatPerC: random.uniformIn(0.0005, 0.001),
    softnessMhz: (random.uniformIn(8, 15) * limitMhz) / 5200,
    resistanceCPerW: random.uniformIn(0.22, 0.38),
    leakageW: random.uniformIn(12, 30),
    roomC: 23,
    quickMinutes: random.uniformIn(5, 20) / 60,
    slowMinutes: random.uniformIn(2, 5),
    quickShare: random.uniformIn(0.5, 0.7),
    strayPerMinute: 0,
    ...differing,
  };
}

/** A mostly fixed delay leaves a slope of 10 to 15 MHz per 10 mV at 1250 mV. */
function fixedShareOf(
  kind: SimulatedKind,
  random: SeededRandom,
  elasticity: number,
  limitMhz: number,
): number {
  if (kind === "alpha-power") return 0;
  if (kind === "mixed") return random.uniformIn(0.2, 0.6);
  const wanted = (random.uniformIn(1000, 1500) * referenceV) / limitMhz;
  return Math.max(0, 1 - wanted / elasticity);
}

function boundedNormal(random: SeededRandom, mean: number, sd: number, low: number, high: number): number {
  for (;;) {
    const value = mean + sd * random.normal();
    if (value >= low && value <= high) return value;
  }
}

/** Relative highest clock by the alpha-power law, (V - Vt)^alpha / V. */
export const alphaPowerClock = (voltageV: number, thresholdV: number, alpha: number): number =>
  Math.max(voltageV - thresholdV, 1e-3) ** alpha / voltageV;

export function limitAt(chip: SimulatedChip, voltageMv: number, tempC: number): number {
  const speed =
    alphaPowerClock(voltageMv / 1000, chip.thresholdV, chip.alpha) /
    alphaPowerClock(referenceV, chip.thresholdV, chip.alpha);
  const delay = (1 - chip.fixedShare) / speed + chip.fixedShare;
  const cooler = (1 - chip.heatPerC * (tempC - 60)) / (1 - chip.heatPerC * (limitTempC - 60));
  return (chip.limitMhz / delay) * cooler;
}

function powerAt(chip: SimulatedChip, clockMhz: number, voltageMv: number, tempC: number): number {
  const voltageV = voltageMv / 1000;
  const switching = (120 / (referenceV ** 2 * chip.limitMhz)) * voltageV ** 2 * clockMhz;
  return switching + chip.leakageW * (voltageV / referenceV) ** 3 * Math.exp(0.012 * (tempC - 60));
}

export function steadyTemp(
  chip: SimulatedChip,
  clockMhz: number,
  voltageMv: number,
  roomC = chip.roomC,
): number {
  let tempC = 60;
  for (let step = 0; step < 12; step++)
    tempC = Math.min(150, roomC + chip.resistanceCPerW * powerAt(chip, clockMhz, voltageMv, tempC));
  return tempC;
}

/** The clock whose levelled hazard, from the clock alone, is the one given. */
export function trueClockAt(
  chip: SimulatedChip,
  voltageMv: number,
  hazardPerMinute: number,
  roomC = chip.roomC,
): number {
  let low = 500;
  let high = 20_000;
  for (let step = 0; step < 50; step++) {
    const middle = (low + high) / 2;
    const limit = limitAt(chip, voltageMv, steadyTemp(chip, middle, voltageMv, roomC));
    if (perMinuteAtLimit * Math.exp((middle - limit) / chip.softnessMhz) > hazardPerMinute) high = middle;
    else low = middle;
  }
  return low;
}

export const simulatedSubject = (chip: SimulatedChip): Subject => ({
  stock: { clockMhz: 4600, voltageMv: 1250 },
  ceilingMv: 1450,
  softnessMhz: chip.softnessMhz,
  hazardAt: (clockMhz, voltageMv) => {
    const over = clockMhz - limitAt(chip, voltageMv, steadyTemp(chip, clockMhz, voltageMv));
    return perMinuteAtLimit * Math.exp(over / chip.softnessMhz);
  },
  clockAt: (voltageMv, hazardPerMinute) => trueClockAt(chip, voltageMv, hazardPerMinute),
  ran: (trial, random) => ranOn(chip, trial, random),
});

/** One run on the bench, and what it cost: warm-up from near the room, failing at random in time. */
export function ranOn(
  chip: SimulatedChip,
  { clockMhz, voltageMv, minutes }: Trial,
  random: SeededRandom,
): Ran {
  const roomC = chip.roomC + 1.2 * random.normal();
  const steadyC = steadyTemp(chip, clockMhz, voltageMv, roomC);
  const hotLimit = limitAt(chip, voltageMv, steadyC);
  if (random.uniform() < 1 / (1 + Math.exp(-(clockMhz - hotLimit - 150) / 30))) {
    const row = evidenceRow({
      clockMhz,
      voltageMv,
      outcome: "no-start",
      durationS: 0,
      ambientC: rounded(roomC),
    });
    return { row, benchMinutes: benchCosts.setupMinutes + benchCosts.noStartMinutes, spent: 0 };
  }
  const startC = roomC + 0.15 * (steadyC - roomC);
  const tempAt = (minute: number): number =>
    steadyC -
    (steadyC - startC) *
      (chip.quickShare * Math.exp(-minute / chip.quickMinutes) +
        (1 - chip.quickShare) * Math.exp(-minute / chip.slowMinutes));
  const { failedAt, spent } = minuteOfFailure(chip, clockMhz, voltageMv, minutes, tempAt, random);
  const ran = failedAt ?? minutes;
  const row = evidenceRow({
    clockMhz,
    voltageMv,
    outcome: failedAt === undefined ? "pass" : "freeze",
    durationS: Math.round(ran * 60),
    ambientC: rounded(roomC + 0.3 * random.normal()),
    loadTempC: ran >= 1 ? rounded(tempAt(ran) + random.normal()) : null,
  });
  const recovery = failedAt === undefined ? 0 : benchCosts.crashMinutes;
  return { row, benchMinutes: benchCosts.setupMinutes + ran + recovery, spent };
}

const rounded = (value: number): number => Math.round(value * 10) / 10;

function minuteOfFailure(
  chip: SimulatedChip,
  clockMhz: number,
  voltageMv: number,
  minutes: number,
  tempAt: (minute: number) => number,
  random: SeededRandom,
): Readonly<{ failedAt: number | undefined; spent: number }> {
  const patience = random.exponential();
  const slice = 0.1;
  let spent = 0;
  for (let minute = 0; minute < minutes; minute += minute < 25 ? slice : 5) {
    const step = Math.min(minute < 25 ? slice : 5, minutes - minute);
    const over = (clockMhz - limitAt(chip, voltageMv, tempAt(minute + step / 2))) / chip.softnessMhz;
    const hazard = perMinuteAtLimit * Math.exp(Math.min(20, over)) + chip.strayPerMinute;
    if (spent + hazard * step >= patience)
      return { failedAt: minute + (patience - spent) / hazard, spent: patience };
    spent += hazard * step;
  }
  return { failedAt: undefined, spent };
}
