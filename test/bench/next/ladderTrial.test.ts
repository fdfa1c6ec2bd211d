import { describe, expect, it } from "vitest";
import { usualBenchCosts } from "../../../server/bench/next/benchCosts.ts";
import type { Ladder } from "../../../server/bench/next/ladder.ts";
import { bestTrialOf } from "../../../server/bench/next/ladderTrial.ts";
import type { Setting } from "../../../server/bench/things/setting.ts";
import { knownDraws } from "../../support/knownDraws.ts";

/** Rungs of 10 MHz from 4 GHz at the reference, and limits that lie evenly over so many of them. */
const over = (rungs: number, more: Partial<Ladder> = {}) => {
  const ends = Array.from({ length: 401 }, (_, k) => Math.round((k * rungs) / 400));
  const ladder: Ladder = {
    settingAt: (rung) => ({ clockMhz: 4000 + 10 * rung, voltageMv: 1200 }),
    lastAcceptable: () => Float64Array.from(ends),
    ...{ easiest: Number.NEGATIVE_INFINITY, hardest: 1e6, mostByHeat: Number.POSITIVE_INFINITY },
    ...{ nearEnough: () => 1, tellingPerMinute: 0.006 },
    ...more,
  };
  const draws = knownDraws({ limitsMhz: ends.map((rung) => 4000 + 10 * rung), roomC: 40 });
  const looked: number[] = [];
  const best = (refuses: (setting: Setting) => boolean = () => false) =>
    bestTrialOf(ladder, draws, {
      durations: [5, 20],
      costs: usualBenchCosts,
      refuses: (setting) => {
        looked.push((setting.clockMhz - 4000) / 10);
        return refuses(setting);
      },
    });
  return { best, looked };
};

describe("the attempt that tells most", () => {
  it("is looked for on two dozen rungs or so, however many lie between the ends of what is believed", () => {
    for (const rungs of [2, 15, 21, 30, 40, 44, 200, 1000]) {
      const { best, looked } = over(rungs);
      best();
      expect(looked.length, `${rungs}`).toBeLessThanOrEqual(25);
      expect(looked.length, `${rungs}`).toBeGreaterThanOrEqual(Math.min(rungs, 12));
      expect(Math.max(...looked), `${rungs}`).toBeGreaterThan(rungs - rungs / 100);
    }
  });

  it("lies between the ends, and beyond neither the easiest nor the hardest rung there is", () => {
    const trial = over(20).best()!;
    expect(trial.clockMhz).toBeGreaterThan(4000);
    expect(trial.clockMhz).toBeLessThan(4200);
    const { best, looked } = over(20, { easiest: 4, hardest: 9 });
    expect(best()).not.toBeNull();
    expect([Math.min(...looked), Math.max(...looked)]).toEqual([4, 9]);
  });

  it("is none that is refused, and none where all are", () => {
    const most = over(20).best()!;
    const other = over(20).best(({ clockMhz }) => clockMhz === most.clockMhz)!;
    expect(other.clockMhz).not.toBe(most.clockMhz);
    expect(other.informationPerMinute).toBeLessThanOrEqual(most.informationPerMinute);
    expect(over(20).best(() => true)).toBeNull();
  });
});
