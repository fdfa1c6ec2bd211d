import { describe, expect, it } from "vitest";
import { usualBenchCosts } from "../../../server/bench/next/benchCosts.ts";
import { endBinsOf, trialForecastsOf, trialMinutes } from "../../../server/bench/next/trialForecast.ts";
import { knownDraws } from "../../support/knownDraws.ts";

describe("how an attempt that started may end", () => {
  it("is in the first minute, in the first third or so, later, or with a pass, whatever it lasts", () => {
    const edges = trialMinutes.map((minutes) => endBinsOf(minutes, 70, 40).edges);
    expect(edges).toEqual([
      [0, 1, 2, 5],
      [0, 1, 3.5, 10],
      [0, 1, 7, 20],
      [0, 1, 14, 40],
      [0, 1, 21, 60],
    ]);
  });

  it("counts no more hot minutes than have passed, and the fewer the colder it starts", () => {
    const [cold, warm] = [20, 60].map((startC) => endBinsOf(20, 70, startC).hot);
    for (const [at, edge] of [0, 1, 7, 20].entries()) {
      expect(cold![at]).toBeLessThanOrEqual(warm![at]!);
      expect(warm![at]).toBeLessThanOrEqual(edge + 1e-9);
    }
    expect([cold![0], cold![1]]).toEqual([0, expect.closeTo(0.15, 1)]);
  });
});

describe("what an attempt would bring", () => {
  const forecast = (limitMhz: number, minutes: number) =>
    trialForecastsOf(
      knownDraws({ limitsMhz: [limitMhz, limitMhz + 20], roomC: 40 }),
      { clockMhz: 5000, voltageMv: 1200 },
      [minutes],
      usualBenchCosts,
    )[0]!;

  it("has chances that make one, draw by draw, of which the last is the pass", () => {
    for (const limitMhz of [4800, 4980, 5000, 5200]) {
      const { ends, chanceOfPass } = forecast(limitMhz, 20);
      for (const draw of [0, 1]) expect(ends.reduce((sum, end) => sum + end[draw]!, 0)).toBeCloseTo(1, 9);
      const last = ends.at(-1)!;
      expect(chanceOfPass).toBeCloseTo((last[0]! + last[1]!) / 2, 9);
    }
  });

  it("passes the less often the longer stray crashes may come, by the exponential law", () => {
    for (const minutes of [10, 60] as const) {
      const draws = knownDraws({ limitsMhz: [5600], roomC: 40, strayPerMinute: 0.01 });
      const [trial] = trialForecastsOf(
        draws,
        { clockMhz: 5000, voltageMv: 1200 },
        [minutes],
        usualBenchCosts,
      );
      expect(trial!.chanceOfPass).toBeCloseTo(Math.exp(-0.01 * minutes), 6);
    }
  });

  it("costs its setting up and its minutes where it surely passes, and the way back where it surely fails", () => {
    const { setupMinutes, crashMinutes, noStartMinutes } = usualBenchCosts;
    expect(forecast(5600, 20)).toMatchObject({
      chanceOfPass: expect.closeTo(1, 6),
      expectedMinutes: expect.closeTo(setupMinutes + 20, 4),
    });
    // So far up it may not start, which takes longer to come back from than a crash in the first minute.
    const { chanceOfPass, expectedMinutes, ends } = forecast(4400, 20);
    expect(chanceOfPass).toBeCloseTo(0, 6);
    const unstarted = (ends[0]![0]! + ends[0]![1]!) / 2;
    expect(expectedMinutes).toBeCloseTo(
      setupMinutes + unstarted * noStartMinutes + (1 - unstarted) * (0.5 + crashMinutes),
      4,
    );
  });
});
