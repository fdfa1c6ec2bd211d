import { scaleOfOffset } from "../../server/bench/scale/scale.ts";
import type { SeededRandom } from "../../server/numerics/seededRandom.ts";
import { type CurveKind, type CurvePart, stepsWhere } from "./curvePart.ts";
import { type OtherChip, otherChip, otherSubject } from "./otherChip.ts";

/** Twice to three times as soft as usual, starts failing two to five e-folds above the limit. */
export const softAndEarly = (random: SeededRandom): Partial<OtherChip> => ({
  softnessMhz: random.uniformIn(24, 42),
  startsFailAbove: random.uniformIn(2, 5),
});

/**
 * A part that is set by offset, of the second simulator's stuff (`otherChip.ts`): its clock jumps and its fan steps under
 * load, and nothing gives way to its heat.
 */
export function otherCurvePart(
  kind: CurveKind,
  random: SeededRandom,
  differing: Partial<OtherChip> = {},
): CurvePart {
  const isClock = kind === "clock offset";
  const chip = otherChip(random, differing);
  const subject = otherSubject(chip);
  const stock = { clockMhz: isClock ? chip.limitMhz - 200 : chip.limitMhz - 280, voltageMv: 1000 };
  const scale = scaleOfOffset({
    offset: {
      ...{ name: "offset", unit: isClock ? "MHz" : "mV", step: isClock ? 15 : 10 },
      ...{ harder: isClock ? "up" : "down", low: null, high: null, countIsAboutMv: null },
    },
    stockClockMhz: stock.clockMhz,
    stockVoltageMv: stock.voltageMv,
  });
  const settingAt = (level: number) =>
    isClock
      ? { ...stock, clockMhz: stock.clockMhz + level }
      : { ...stock, voltageMv: stock.voltageMv + level };
  const hazardAt = (level: number): number => {
    const { clockMhz, voltageMv } = settingAt(level);
    return subject.hazardAt(clockMhz, voltageMv);
  };
  return {
    scale,
    stock,
    hazardAt,
    stepsAt: stepsWhere(hazardAt, scale),
    ran: (level, minutes, chance) => {
      const { row, benchMinutes } = subject.ran({ ...settingAt(level), minutes }, chance);
      return { at: { row: { ...row, clockMhz: Math.round(row.clockMhz) }, level }, benchMinutes };
    },
  };
}
