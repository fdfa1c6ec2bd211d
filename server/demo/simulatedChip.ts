/** A chip whose truth is known. Nothing here may be told to the answers under test. */
export type SimulatedChip = Readonly<{
  /** The clock at which a crash is due once an hour, at the reference voltage under load and 80 °C. */
  limitMhz: number;
  referenceMv: number;
  /** Alpha-power law of gate delay: V / (V - threshold)^drive. */
  thresholdMv: number;
  drive: number;
  /** The share of the delay that no voltage shortens. */
  fixedDelayShare: number;
  /** How much of the limit each further degree takes. */
  limitLossPerC: number;
  /** The clock over which the chance of a crash grows by e. */
  hazardWidthMhz: number;
  /** Crashes that no clock causes. */
  strayPerMin: number;
  switchingWPerV2Mhz: number;
  /** Leakage at the reference voltage and 60 °C. */
  leakageW: number;
  tempLimitC: number;
}>;

const crashesPerMinAtLimit = 1 / 60;
const referenceTempC = 80;

/** The clock at which a crash is due once an hour at this load voltage and temperature. */
export function limitMhzAt(chip: SimulatedChip, loadVoltageMv: number, tempC: number): number {
  const delay =
    (1 - chip.fixedDelayShare) * (gateDelay(chip, loadVoltageMv) / gateDelay(chip, chip.referenceMv)) +
    chip.fixedDelayShare;
  return (chip.limitMhz / delay) * (1 - chip.limitLossPerC * (tempC - referenceTempC));
}

function gateDelay(chip: SimulatedChip, voltageMv: number): number {
  const overdriveV = Math.max(voltageMv - chip.thresholdMv, 1) / 1000;
  return voltageMv / 1000 / overdriveV ** chip.drive;
}

/** Crashes per minute that the clock causes; it grows by e with each `hazardWidthMhz`. */
export function clockHazardPerMin(
  chip: SimulatedChip,
  clockMhz: number,
  loadVoltageMv: number,
  tempC: number,
): number {
  const excess = (clockMhz - limitMhzAt(chip, loadVoltageMv, tempC)) / chip.hazardWidthMhz;
  return crashesPerMinAtLimit * Math.exp(Math.min(20, excess));
}

/** Power at the chip: switching C V² f, scaled by how much of the chip the workload switches, and leakage. */
export function chipPowerW(
  chip: SimulatedChip,
  clockMhz: number,
  loadVoltageMv: number,
  tempC: number,
  activity: number,
): number {
  const switching = activity * chip.switchingWPerV2Mhz * (loadVoltageMv / 1000) ** 2 * clockMhz;
  const leakage = chip.leakageW * (loadVoltageMv / chip.referenceMv) ** 3 * Math.exp(0.012 * (tempC - 60));
  return switching + leakage;
}
