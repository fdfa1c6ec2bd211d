import { describe, expect, it } from "vitest";
import { meanTemperature, reachedAtS, temperatureAt } from "../../server/demo/warmUp.ts";
import { seededRandom } from "../../server/numerics/seededRandom.ts";
import { drawnBench } from "../support/drawnBench.ts";

const cooling = { ...drawnBench(seededRandom(1)).cooling, fastShare: 0.6, fastS: 12, slowS: 190 };
const warmUp = { cooling, startC: 30, steadyC: 80, driftCPerH: 0 };

describe("temperatureAt", () => {
  // First-order response after n time constants (standard; University Physics vol. 2, OpenStax 2016, 10.5 for n = 1).
  it.each([
    [1, 0.6321205588],
    [2, 0.8646647168],
    [3, 0.9502129316],
    [5, 0.993262053],
  ])("with one time constant has made %i of them into %f of the rise", (count, fraction) => {
    const single = { ...warmUp, cooling: { ...cooling, fastShare: 0 } };
    expect((temperatureAt(single, count * 190) - 30) / 50).toBeCloseTo(fraction, 9);
  });

  it("begins at the start, ends at the steady temperature, and is the sum of two exponentials between", () => {
    expect(temperatureAt(warmUp, 0)).toBe(30);
    expect(temperatureAt(warmUp, 36_000)).toBeCloseTo(80, 9);
    expect(temperatureAt(warmUp, 60)).toBeCloseTo(80 - 30 * Math.exp(-5) - 20 * Math.exp(-60 / 190), 9);
  });

  it("follows a drifting room", () => {
    expect(temperatureAt({ ...warmUp, driftCPerH: 2 }, 7200) - temperatureAt(warmUp, 7200)).toBeCloseTo(4, 9);
  });
});

describe("meanTemperature", () => {
  it("is the mean of the temperature second by second", () => {
    const drifting = { ...warmUp, driftCPerH: 1.5 };
    let sum = 0;
    for (let step = 0; step < 18_000; step++) sum += temperatureAt(drifting, 100 + (step + 0.5) / 100);
    expect(meanTemperature(drifting, 100, 280)).toBeCloseTo(sum / 18_000, 6);
  });
});

describe("reachedAtS", () => {
  it("is the first time there, to the second, or undefined", () => {
    const at = reachedAtS(warmUp, 70, 3600) ?? Number.NaN;
    expect(temperatureAt(warmUp, at)).toBeGreaterThanOrEqual(70);
    expect(temperatureAt(warmUp, at - 1)).toBeLessThan(70);
    expect(reachedAtS(warmUp, 81, 3600)).toBeUndefined();
  });
});
