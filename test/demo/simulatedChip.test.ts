import { describe, expect, it } from "vitest";
import { chipPowerW, clockHazardPerMin, limitMhzAt } from "../../server/demo/simulatedChip.ts";
import { seededRandom } from "../../server/numerics/seededRandom.ts";
import { drawnChip } from "../support/drawnBench.ts";

const chip = { ...drawnChip(seededRandom(1)), limitLossPerC: 0, fixedDelayShare: 0, thresholdMv: 350 };

describe("limitMhzAt", () => {
  // Alpha-power law, T. Sakurai and A. R. Newton, IEEE JSSC 25 (1990) 584-594: f ~ (V - Vt)^alpha / V.
  // The formula is the authors'; the ratios are from memory of it, reproduced numerically.
  it.each([
    [1.3, 1200, 1000, 1.1810709667],
    [1.3, 900, 1000, 0.8942143258],
    [2, 1200, 1000, 1.4250493097],
  ])("follows the alpha-power law: exponent %f, %f over %f mV", (drive, high, low, ratio) => {
    const law = { ...chip, drive };
    expect(limitMhzAt(law, high, 80) / limitMhzAt(law, low, 80)).toBeCloseTo(ratio, 9);
  });

  it("is the chip's limit at its reference voltage and 80 °C, whatever the law", () => {
    for (const law of ["power", "mixed", "flat"] as const) {
      const drawn = drawnChip(seededRandom(7), law);
      expect(limitMhzAt(drawn, drawn.referenceMv, 80)).toBeCloseTo(drawn.limitMhz, 9);
    }
  });

  it("gains 10 to 15 MHz from 10 mV on a flat chip, before heat takes its share", () => {
    for (let seed = 0; seed < 50; seed++) {
      const flat = drawnChip(seededRandom(seed), "flat");
      const gain = limitMhzAt(flat, 1255, 80) - limitMhzAt(flat, 1245, 80);
      expect(gain).toBeGreaterThan(9.9);
      expect(gain).toBeLessThan(15.1);
    }
  });

  it("falls with temperature", () => {
    const warm = { ...chip, limitLossPerC: 0.001 };
    expect(limitMhzAt(warm, 1250, 90) / limitMhzAt(warm, 1250, 80)).toBeCloseTo(0.99, 9);
  });
});

describe("clockHazardPerMin", () => {
  it("is a crash an hour at the limit and grows by e with each width", () => {
    const limitMhz = limitMhzAt(chip, 1250, 80);
    const atLimit = clockHazardPerMin(chip, limitMhz, 1250, 80);
    expect(atLimit * 60).toBeCloseTo(1, 9);
    expect(clockHazardPerMin(chip, limitMhz + chip.hazardWidthMhz, 1250, 80) / atLimit).toBeCloseTo(
      Math.E,
      9,
    );
  });
});

describe("chipPowerW", () => {
  // P ~ C V^2 f: ten per cent more of both is 1.1^3 (standard relation, from memory).
  it("switches with the square of the voltage and with the clock", () => {
    const tight = { ...chip, leakageW: 0 };
    expect(chipPowerW(tight, 4400, 1100, 60, 1) / chipPowerW(tight, 4000, 1000, 60, 1)).toBeCloseTo(1.331, 9);
  });

  it("leaks more when hotter", () => {
    expect(chipPowerW(chip, 4000, 1200, 90, 1)).toBeGreaterThan(chipPowerW(chip, 4000, 1200, 60, 1));
  });
});
