import type { SeededRandom } from "../../server/numerics/seededRandom.ts";
import { evidenceRow } from "./evidenceRows.ts";
import { benchCosts, clockOfHazard, type Ran, type Subject, type Trial } from "./subject.ts";

/**
 * A chip of another physics than `simulatedChip.ts` and than the fit: gates whose drive saturates and whose threshold and
 * mobility both fall with temperature (so that heat costs clock or gives some, by the voltage), in series with wires that
 * slow down as they warm; leakage that grows with voltage and temperature; a cooler of two masses whose fan steps; a clock
 * that jumps about its setting; starts that fail some e-folds above the limit, how many drawn for each chip. Slow and
 * obvious: every run is walked through in slices.
 */
export type OtherChip = Readonly<{
  /** The clock at which it fails once an hour, at 1000 mV and 75 °C. */
  limitMhz: number;
  thresholdV: number;
  saturation: number;
  /** With the threshold's fall and the wires, a degree costs some 0.05 to 0.14 % of clock at 1000 mV. */
  mobilityPower: number;
  thresholdPerC: number;
  wireShare: number;
  softnessMhz: number;
  /** Starts fail so many e-folds above once an hour, give or take half an e-fold each time. */
  startsFailAbove: number;
  switchingW: number;
  leakageW: number;
  leakagePerV: number;
  leakagePerC: number;
  resistanceCPerW: number;
  roomC: number;
}>;

const reference = { V: 1, C: 75 };
const stock = { clockMhz: 3600, voltageMv: 1000 };

export function otherChip(random: SeededRandom, differing: Partial<OtherChip> = {}): OtherChip {
  return {
    limitMhz: Math.min(4450, Math.max(3700, 4000 + 150 * random.normal())),
    thresholdV: random.uniformIn(0.28, 0.42),
    saturation: random.uniformIn(1.15, 1.45),
    mobilityPower: random.uniformIn(0.8, 0.95),
    thresholdPerC: random.uniformIn(0.0007, 0.00095),
    wireShare: random.uniformIn(0.1, 0.35),
    softnessMhz: 14 * Math.exp(0.5 * random.normal()),
    startsFailAbove: random.uniformIn(2, 15),
    switchingW: random.uniformIn(70, 110),
    leakageW: random.uniformIn(10, 30),
    leakagePerV: random.uniformIn(2, 4),
    leakagePerC: random.uniformIn(0.004, 0.01),
    resistanceCPerW: random.uniformIn(0.26, 0.4),
    roomC: random.uniformIn(19, 27),
    ...differing,
  };
}

/** A chip whose clock suffers some 0.15 to 0.25 % a degree at 1000 mV, two to three times the usual (common practice). */
export const harshHeat = (random: SeededRandom): Pick<OtherChip, "mobilityPower"> => ({
  mobilityPower: random.uniformIn(1.2, 1.4),
});

/** With harsh heat at 1000 mV: a threshold that falls so fast that a degree gives up to 0.2 % of clock at 720 mV. */
export const turningHeat = (random: SeededRandom): Pick<OtherChip, "thresholdPerC"> => ({
  thresholdPerC: random.uniformIn(0.0012, 0.0015),
});

/** How long a gate takes, over any constant: V over mobility times drive. */
function gateDelay(chip: OtherChip, voltageV: number, tempC: number): number {
  const mobility = ((tempC + 273) / (reference.C + 273)) ** -chip.mobilityPower;
  const thresholdV = chip.thresholdV - chip.thresholdPerC * (tempC - reference.C);
  return voltageV / (mobility * Math.max(voltageV - thresholdV, 1e-3) ** chip.saturation);
}

/** Copper's resistance grows by 0.39 % a degree (handbooks); a third of a wire's delay is its own. */
const wirePerC = 0.0039 / 3;

function otherLimitAt(chip: OtherChip, voltageMv: number, tempC: number): number {
  const gate = gateDelay(chip, voltageMv / 1000, tempC) / gateDelay(chip, reference.V, reference.C);
  const wire = 1 + wirePerC * (tempC - reference.C);
  return chip.limitMhz / ((1 - chip.wireShare) * gate + chip.wireShare * wire);
}

function otherPowerAt(chip: OtherChip, clockMhz: number, voltageMv: number, tempC: number): number {
  const volts = voltageMv / 1000;
  const switching = chip.switchingW * volts ** 2 * (clockMhz / 4000);
  const over = chip.leakagePerV * (volts - reference.V) + chip.leakagePerC * (tempC - 60);
  return switching + chip.leakageW * volts * Math.exp(over);
}

/** The fan's steps: up to which temperature each is kept, and the cooler's resistance at it, over the middle one's. */
const fanSteps = [
  { upToC: 58, share: 1.15 },
  { upToC: 72, share: 1 },
  { upToC: Number.POSITIVE_INFINITY, share: 0.9 },
] as const;

/** The slowest fan that keeps the chip under its step, and where the temperature levels with it. */
function otherSteadyC(chip: OtherChip, clockMhz: number, voltageMv: number, roomC = chip.roomC): number {
  for (const { upToC, share } of fanSteps) {
    let tempC = 60;
    for (let round = 0; round < 30; round++) {
      const watts = otherPowerAt(chip, clockMhz, voltageMv, tempC);
      tempC = Math.min(140, roomC + share * chip.resistanceCPerW * watts);
    }
    if (tempC <= upToC) return tempC;
  }
  return 140;
}

/** The clock sits as long below its setting as on it and above. */
const jumpsMhz = [-6, 0, 6] as const;

const hazardOver = (chip: OtherChip, overMhz: number): number =>
  Math.exp(Math.min(25, overMhz / chip.softnessMhz)) / 60;

/** Once levelled, over all the clocks it jumps between. */
function otherHazardAt(chip: OtherChip, clockMhz: number, voltageMv: number): number {
  const limitMhz = otherLimitAt(chip, voltageMv, otherSteadyC(chip, clockMhz, voltageMv));
  const hazards = jumpsMhz.map((jump) => hazardOver(chip, clockMhz + jump - limitMhz));
  return hazards.reduce((sum, hazard) => sum + hazard, 0) / jumpsMhz.length;
}

export const otherSubject = (chip: OtherChip): Subject => ({
  stock,
  ceilingMv: 1200,
  softnessMhz: chip.softnessMhz,
  hazardAt: (clockMhz, voltageMv) => otherHazardAt(chip, clockMhz, voltageMv),
  clockAt: (voltageMv, hazardPerMinute) =>
    clockOfHazard((clockMhz) => otherHazardAt(chip, clockMhz, voltageMv), hazardPerMinute, [1500, 7000]),
  ran: (trial, random) => otherRan(chip, trial, random),
});

function otherRan(chip: OtherChip, trial: Trial, random: SeededRandom): Ran {
  const { clockMhz, voltageMv } = trial;
  const roomC = chip.roomC + 1.5 * random.normal();
  const setting = { clockMhz, voltageMv, ambientC: Math.round(2 * roomC) / 2 };
  const efolds = Math.log(60 * otherHazardAt(chip, clockMhz, voltageMv));
  if (efolds >= chip.startsFailAbove + 0.5 * random.normal()) {
    const row = evidenceRow({ ...setting, outcome: "no-start", durationS: 0 });
    return { row, benchMinutes: benchCosts.setupMinutes + benchCosts.noStartMinutes, spent: 0 };
  }
  const { minutes, failed, tempC, spent } = walkedThrough(chip, trial, roomC, random);
  const row = evidenceRow({
    ...setting,
    outcome: failed ? "restart" : "pass",
    durationS: Math.round(60 * minutes),
    loadTempC: minutes >= 1 ? Math.round(tempC + 0.7 * random.normal()) : null,
  });
  const recovery = failed ? benchCosts.crashMinutes : 0;
  return { row, benchMinutes: benchCosts.setupMinutes + minutes + recovery, spent };
}

type Walked = Readonly<{ minutes: number; failed: boolean; tempC: number; spent: number }>;

const sliceMinutes = 0.1;
/** The chip stands this share of the rise above its sink, and follows it at once; the sink takes minutes. */
const chipShare = 0.35;
const sinkMinutes = 3.5;

function walkedThrough(
  chip: OtherChip,
  { clockMhz, voltageMv, minutes }: Trial,
  roomC: number,
  random: SeededRandom,
): Walked {
  const patience = random.exponential();
  let sinkC = roomC + 5;
  let tempC = sinkC;
  let fan = 0;
  let jump = 0;
  let spent = 0;
  for (let minute = 0; minute < minutes - 1e-9; minute += sliceMinutes) {
    const watts = otherPowerAt(chip, clockMhz, voltageMv, tempC);
    const rise = fanSteps[fan]!.share * chip.resistanceCPerW * watts;
    sinkC += ((roomC + (1 - chipShare) * rise - sinkC) * sliceMinutes) / sinkMinutes;
    tempC = sinkC + chipShare * rise;
    if (tempC > fanSteps[fan]!.upToC) fan += 1;
    if (random.uniform() < sliceMinutes / 0.5) jump = jumpsMhz[random.index(jumpsMhz.length)]!;
    const hazard = hazardOver(chip, clockMhz + jump - otherLimitAt(chip, voltageMv, tempC));
    if (spent + hazard * sliceMinutes >= patience)
      return { minutes: minute + (patience - spent) / hazard, failed: true, tempC, spent: patience };
    spent += hazard * sliceMinutes;
  }
  return { minutes, failed: false, tempC, spent };
}
