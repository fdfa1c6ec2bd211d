import {
  type LeakingPower,
  leakingPowerOf,
  type PowerDraws,
  type PowerReading,
  wattsOf,
} from "../power/leakingPower.ts";
import type { EvidenceRow } from "../things/evidenceRow.ts";
import { chipPowerRows } from "./powerLaw.ts";

/** A setting with the temperature it stood at, as the shape of a law is laid through it. */
export type WarmPoint = Readonly<{ clockMhz: number; voltageMv: number; riseC: number }>;

/** How a build's rise follows clock and voltage, up to a factor that its own readings give. */
export type HeatShape = Readonly<{
  /** Watts up to a factor, at a setting that stands at a temperature. */
  heatAt: (clockMhz: number, voltageMv: number, tempC: number) => number;
  /** How far the exponents of voltage and clock may stray, one standard deviation. */
  stray: Readonly<{ voltage: number; clock: number }>;
  /** At how many voltages power was read; 0 where the shape is what such chips usually have. */
  voltages: number;
}>;

const drawCount = 120;
/** What no model of power has: fans that follow the heat, a sensor that does not. */
const besides = { voltage: 0.1, clock: 0.06 };

/**
 * From the power read at the chip, else at the board, at two voltages or more under one load: the exponents stray as the
 * draws of that power do, self-heating in. Else the plain power law, which strays more.
 */
export function heatShapeOf(rows: readonly EvidenceRow[], around: WarmPoint, roomC: number): HeatShape {
  const { readings, voltages } = readingsIn(rows);
  const power = voltages < 2 ? null : leakingPowerOf(readings, { hasRest: false, count: drawCount });
  if (power === null) return plainShape;
  const middle = middleOf(power);
  return {
    heatAt: (clockMhz, voltageMv, tempC) =>
      wattsOf(middle, { volts: voltageMv / 1000, clockMhz, tempC }, power.reference),
    stray: strayOf(power, around, roomC),
    voltages,
  };
}

/** Where no power was read: V^2.2 f, wide enough for chips that leak much and for such as hardly do. */
const plainShape: HeatShape = {
  heatAt: (clockMhz, voltageMv) => (voltageMv / 1000) ** 2.2 * clockMhz,
  stray: { voltage: 0.35, clock: 0.2 },
  voltages: 0,
};

function readingsIn(rows: readonly EvidenceRow[]): Readonly<{ readings: PowerReading[]; voltages: number }> {
  const read = chipPowerRows(rows);
  return {
    voltages: new Set(read.map(({ voltageMv }) => voltageMv)).size,
    readings: read.map((row) => ({
      volts: (row.loadVoltageMv ?? row.voltageMv) / 1000,
      clockMhz: row.effectiveClockMhz ?? row.clockMhz,
      tempC: row.loadTempC ?? row.peakTempC,
      powerW: row.powerW!,
    })),
  };
}

const meanOf = (values: readonly number[]): number =>
  values.reduce((sum, value) => sum + value, 0) / values.length;

function middleOf({ draws }: PowerDraws): LeakingPower {
  const of = (name: keyof LeakingPower): number => meanOf(draws.map((draw) => draw[name]));
  return {
    switched: of("switched"),
    leakW: of("leakW"),
    perVolt: of("perVolt"),
    perC: of("perC"),
    restW: of("restW"),
  };
}

const nudge = 0.03;

/** How much the exponents differ among the draws around a setting, each draw heating itself. */
function strayOf(power: PowerDraws, around: WarmPoint, roomC: number): HeatShape["stray"] {
  const exponents = power.draws.map((draw) => {
    const heat = (clockMhz: number, voltageMv: number, tempC: number): number =>
      wattsOf(draw, { volts: voltageMv / 1000, clockMhz, tempC }, power.reference);
    const { clockMhz, voltageMv, riseC } = around;
    const perWatt = riseC / heat(clockMhz, voltageMv, roomC + riseC);
    const rise = (clock: number, voltage: number): number =>
      Math.log(levelledRise(heat, perWatt, clock, voltage, roomC, riseC));
    const up = Math.exp(nudge / 2);
    return {
      voltage: (rise(clockMhz, voltageMv * up) - rise(clockMhz, voltageMv / up)) / nudge,
      clock: (rise(clockMhz * up, voltageMv) - rise(clockMhz / up, voltageMv)) / nudge,
    };
  });
  const spreadOf = (name: "voltage" | "clock"): number => {
    const middle = meanOf(exponents.map((one) => one[name]));
    return Math.sqrt(meanOf(exponents.map((one) => (one[name] - middle) ** 2)));
  };
  return {
    voltage: Math.hypot(besides.voltage, spreadOf("voltage")),
    clock: Math.hypot(besides.clock, spreadOf("clock")),
  };
}

/** A chip much hotter than this is not run; the search for its level stops there. */
const mostRiseC = 250;

/** The rise that keeps itself up: watts at a temperature, times degrees a watt, give that temperature. */
export function levelledRise(
  heatAt: HeatShape["heatAt"],
  perWatt: number,
  clockMhz: number,
  voltageMv: number,
  roomC: number,
  startC: number,
): number {
  let riseC = startC;
  for (let round = 0; round < 25; round++) {
    const next = Math.min(mostRiseC, perWatt * heatAt(clockMhz, voltageMv, roomC + riseC));
    if (Math.abs(next - riseC) < 1e-6) return next;
    riseC = next;
  }
  return riseC;
}
