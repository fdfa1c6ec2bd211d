import type { Scale } from "../../server/bench/scale/scale.ts";
import { scaleOfOffset } from "../../server/bench/scale/scale.ts";
import type { LevelRow } from "../../server/bench/scale/scaleFit.ts";
import type { SeededRandom } from "../../server/numerics/seededRandom.ts";
import {
  chipKinds,
  limitAt,
  perMinuteAtLimit,
  ranOn,
  type SimulatedChip,
  simulatedChip,
  steadyTemp,
} from "./simulatedChip.ts";

/**
 * A part whose truth is known and that is set by offset. It runs along a curve of its own: under load it stands where the
 * curve meets its clock, which gives way as it warms; an offset of voltage lowers the curve, one of clock shifts it.
 * Below the curve lies the simulated chip (alpha-power delay, its own warm-up, leakage and failure rate).
 */
export type CurvePart = Readonly<{
  scale: Scale;
  stock: Readonly<{ clockMhz: number; voltageMv: number }>;
  /** In steps of the scale for an e-fold of hazard, near the limit. */
  hazardAt: (level: number) => number;
  /** The level, in steps beyond stock, whose levelled hazard is the one given. */
  stepsAt: (hazardPerMinute: number) => number;
  ran: (
    level: number,
    minutes: number,
    random: SeededRandom,
  ) => Readonly<{ at: LevelRow; benchMinutes: number }>;
}>;

export const curveKinds = ["undervolt", "clock offset"] as const;
export type CurveKind = (typeof curveKinds)[number];

/** The clock gives way by so much as the part warms, and the curve's voltage with it. */
const givesWayMhzPerC = 0.6;
const curveMvPerMhz = 0.22;
const coolC = 60;

/** The steps beyond stock at which a hazard that rises along a scale is the one asked about, between 20 easier and 60 harder. */
export const stepsWhere =
  (hazardAt: CurvePart["hazardAt"], { harder, step }: Scale): CurvePart["stepsAt"] =>
  (hazardPerMinute) => {
    const sign = harder === "up" ? 1 : -1;
    let [below, above] = [-20, 60];
    for (let turn = 0; turn < 50; turn++) {
      const middle = (below + above) / 2;
      if (hazardAt(sign * middle * step) > hazardPerMinute) above = middle;
      else below = middle;
    }
    return below;
  };

export function curvePart(kind: CurveKind, index: number, random: SeededRandom, softness: number): CurvePart {
  const isClock = kind === "clock offset";
  const base = isClock ? 2700 + 60 * random.normal() : 5200 + 120 * random.normal();
  const chip: SimulatedChip = {
    ...simulatedChip(chipKinds[index % chipKinds.length]!, random, { limitMhz: base }),
    softnessMhz: (softness * base) / 5200,
  };
  const stock = { clockMhz: isClock ? 2490 : 4850, voltageMv: 1250 };
  const scale = scaleOfOffset({
    offset: {
      name: "offset",
      unit: isClock ? "MHz" : "mV",
      step: isClock ? 15 : 10,
      harder: isClock ? "up" : "down",
      low: null,
      high: null,
      countIsAboutMv: null,
    },
    stockClockMhz: stock.clockMhz,
    stockVoltageMv: stock.voltageMv,
  });
  const settingAt = (level: number, tempC: number) => {
    const gaveWayMhz = Math.min(80, Math.max(0, givesWayMhzPerC * (tempC - coolC)));
    return isClock
      ? {
          clockMhz: stock.clockMhz - gaveWayMhz + level,
          voltageMv: stock.voltageMv - curveMvPerMhz * gaveWayMhz,
        }
      : {
          clockMhz: stock.clockMhz - gaveWayMhz,
          voltageMv: stock.voltageMv - curveMvPerMhz * gaveWayMhz + level,
        };
  };
  /** Where it stands once warm: the clock gives way to the heat that it makes. */
  const levelled = (level: number, roomC = chip.roomC) => {
    let tempC = coolC;
    for (let turn = 0; turn < 8; turn++) {
      const { clockMhz, voltageMv } = settingAt(level, tempC);
      tempC = steadyTemp(chip, clockMhz, voltageMv, roomC);
    }
    return { ...settingAt(level, tempC), tempC };
  };
  const hazardAt = (level: number): number => {
    const { clockMhz, voltageMv, tempC } = levelled(level);
    return perMinuteAtLimit * Math.exp((clockMhz - limitAt(chip, voltageMv, tempC)) / chip.softnessMhz);
  };
  return {
    scale,
    stock,
    hazardAt,
    stepsAt: stepsWhere(hazardAt, scale),
    ran: (level, minutes, chance) => {
      const { clockMhz, voltageMv } = levelled(level);
      const { row, benchMinutes } = ranOn(chip, { clockMhz, voltageMv, minutes }, chance);
      const read = { ...row, clockMhz: Math.round(clockMhz), voltageMv: Math.round(voltageMv) };
      return { at: { row: read, level }, benchMinutes };
    },
  };
}
