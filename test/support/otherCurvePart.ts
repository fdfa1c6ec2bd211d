import { scaleOfOffset } from "../../server/bench/scale/scale.ts";
import type { SeededRandom } from "../../server/numerics/seededRandom.ts";
import type { CurveKind, CurvePart } from "./curvePart.ts";
import { otherChip, otherSubject } from "./otherChip.ts";

/**
 * A part that is set by offset, of the second simulator's stuff (`otherChip.ts`): twice to three times as soft as usual, its
 * starts failing two to five e-folds above the limit, its clock jumping and its fan stepping under load.
 */
export function otherCurvePart(
  kind: CurveKind,
  random: SeededRandom,
): Pick<CurvePart, "scale" | "stock" | "ran"> {
  const isClock = kind === "clock offset";
  const chip = otherChip(random, {
    softnessMhz: random.uniformIn(24, 42),
    startsFailAbove: random.uniformIn(2, 5),
  });
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
  return {
    scale,
    stock,
    ran: (level, minutes, chance) => {
      const setting = isClock
        ? { ...stock, clockMhz: stock.clockMhz + level }
        : { ...stock, voltageMv: stock.voltageMv + level };
      const { row, benchMinutes } = subject.ran({ ...setting, minutes }, chance);
      return { at: { row: { ...row, clockMhz: Math.round(row.clockMhz) }, level }, benchMinutes };
    },
  };
}
