import { describe, expect, it } from "vitest";
import { heatRunOf } from "../../server/bench/heat/heatRun.ts";
import { blockMean } from "../../server/numerics/blockMean.ts";
import { seededRandom } from "../../server/numerics/seededRandom.ts";
import { kindRun, setClockMhz } from "../support/heatKinds.ts";
import { effectiveSampleSize, truncationPoint } from "../support/outside/seriesRules.ts";

const autoregression = (r: number, count: number, seed: number): number[] => {
  const random = seededRandom(seed);
  let value = random.normal() / Math.sqrt(1 - r * r);
  return Array.from({ length: count }, () => {
    value = r * value + random.normal();
    return value;
  });
};

/** The inflation of variance of a first-order autoregression, 3, 19 and 39: A. D. Sokal's lectures (1997), section 3, closed form. */
describe("effectiveSampleSize(values)", () => {
  it.each([
    [0.5, 3],
    [0.9, 19],
    [0.95, 39],
  ])("of neighbours alike by %d is the count over %d", (r, inflation) => {
    const count = 200_000;
    const size = effectiveSampleSize(autoregression(r, count, 5))!;
    expect(Math.abs((size * inflation) / count - 1)).toBeLessThan(0.06);
  });
  it("is what the block mean's standard error comes to on average", () => {
    const [series, count, r] = [600, 900, 0.985];
    let [told, expected] = [0, 0];
    for (let seed = 0; seed < series; seed++) {
      const values = autoregression(r, count, 100 + seed);
      told += blockMean(values, { memory: -1 / Math.log(r) })!.standardError ** 2 / series;
      expected += 1 / (1 - r * r) / effectiveSampleSize(values)! / series;
    }
    expect(told / expected).toBeGreaterThan(0.9);
    expect(told / expected).toBeLessThan(1.25);
  });
  it("is never more than the count, and nothing for a series that does not vary", () => {
    expect(effectiveSampleSize(autoregression(-0.5, 1000, 6))).toBe(1000);
    expect(effectiveSampleSize([4, 4, 4])).toBeUndefined();
  });
});

/** No published example with its data was found: checked on runs whose truth is known. */
describe("truncationPoint(values)", () => {
  it("cuts off what a settling run has not settled from, and next to nothing of a settled one", () => {
    const random = seededRandom(9);
    const settling = Array.from(
      { length: 900 },
      (_, t) => 70 - 40 * Math.exp(-t / 60) + 0.3 * random.normal(),
    );
    const cut = truncationPoint(settling);
    expect(cut).toBeGreaterThan(180);
    expect(cut).toBeLessThan(450);
    const rest = settling.slice(cut);
    expect(Math.abs(rest.reduce((sum, value) => sum + value, 0) / rest.length - 70)).toBeLessThan(0.15);
    const settled = Array.from({ length: 900 }, () => 70 + 0.3 * random.normal());
    expect(truncationPoint(settled)).toBeLessThan(300);
  });
  it("lies near where runs are said to have levelled: half within a minute and a half, three in four within two and a half", () => {
    const apart = Array.from({ length: 16 }, (_, i) => {
      const { trace, loadStartS } = kindRun("plain", 1200, 61_000 + 7919 * i);
      const { levelledAtS } = heatRunOf(trace, { setClockMhz, tempLimitC: 95 });
      const sound = Array.from(trace.temperature)
        .slice(loadStartS)
        .filter((c) => Number.isFinite(c) && c > 1);
      return levelledAtS === null ? [] : [Math.abs(truncationPoint(sound, 10) - levelledAtS)];
    })
      .flat()
      .sort((a, b) => a - b);
    expect(apart.length).toBeGreaterThan(11);
    expect(apart[Math.floor(apart.length / 2)]).toBeLessThan(90);
    expect(apart[Math.floor(0.75 * apart.length)]).toBeLessThan(150);
  });
  it("is at the start of a run too short to tell", () => {
    expect(truncationPoint([])).toBe(0);
    expect(truncationPoint([1, 2, 3])).toBe(0);
  });
});
