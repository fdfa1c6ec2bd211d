import { describe, expect, it } from "vitest";
import type { HeatQuestion, HeatRun } from "../../../server/bench/heat/heatReading.ts";
import { forecastFrom } from "../../../server/bench/heat/runForecast.ts";
import { levelled } from "../../support/levelledRun.ts";

const told = (changes: Partial<HeatRun> = {}, question: HeatQuestion = {}) => {
  const forecast = forecastFrom({ ...levelled, ...changes }, question);
  if (forecast.state !== "forecast") throw new Error(forecast.because);
  return forecast;
};

describe("what a run that goes on would come to", () => {
  it("is its level where the time it settles has passed and no more than a degree is to come", () => {
    expect(told()).toMatchObject({ levelsInS: 0, levelled: true, crossesLimit: "no" });
    expect(told().sentence).toBe("Levelled at 80 ± 1 °C; you may stop.");
    expect(told({ remainderC: 1.4 })).toMatchObject({ levelsInS: 0, levelled: false });
    expect(told({ settlesAtS: 1500 })).toMatchObject({ levelsInS: 300, levelled: false });
    expect(told({ settlesAtS: 1500 }).sentence).toBe("Would level at 80 ± 1 °C in 5 minutes; you may stop.");
    expect(told({ settlesAtS: 1201 }).sentence).toContain("in 1 minute;");
  });

  it("does not say that one may stop where the end is known to more than a degree or so", () => {
    const wide = { final: { c: 84, lowC: 81, highC: 87 }, settlesAtS: 1500 };
    expect(told(wide).sentence).toBe("Would level at 84 ± 3 °C in 5 minutes.");
  });

  it("crosses a limit surely where it ends there, perhaps where its upper end does", () => {
    const at = (tempLimitC: number) => told({}, { tempLimitC });
    expect([80.1, 80.2, 80.6, 80.7].map((limit) => at(limit).crossesLimit)).toEqual([
      ...["surely", "perhaps", "perhaps", "no"],
    ]);
    expect(at(80).sentence).toContain("It would cross the limit of 80 °C.");
    expect(at(80.5).sentence).toContain("It may cross the limit of 80.5 °C.");
  });

  it("is not told before five minutes of load, nor where nothing moves", () => {
    const because = (changes: Partial<HeatRun>) => forecastFrom({ ...levelled, ...changes }, {});
    expect(because({ load: { fromS: 0, toS: 120, foundFrom: "power" } })).toEqual({
      ...{ state: "too-early", because: "Too early to say: 120 s of load so far, 300 s are needed." },
    });
    expect(because({ load: null })).toMatchObject({ because: "No load is seen in the temperature yet." });
    expect(because({ final: null })).toMatchObject({
      because: "The temperature hardly changes, so there is nothing to forecast.",
    });
    expect(because({ tellsFromS: 1801 })).toMatchObject({
      because:
        "80 °C over the last 3 minutes. Where it tends cannot be told before minute 31: the course is slow.",
    });
  });

  it("has a level and no end where it swings, and says that it has crossed the limit", () => {
    const cycle = { lowC: 71.2, highC: 96.4, periodS: 42 };
    const swings = (question: HeatQuestion) => forecastFrom({ ...levelled, cycle, peakC: 96.4 }, question);
    expect(swings({})).toEqual({
      ...{ state: "no-end", levelC: 79.94 },
      because: "It swings between 71 and 96 °C about every 42 s, 80 °C on average.",
    });
    expect(swings({ tempLimitC: 95 })).toMatchObject({
      because: expect.stringMatching(/ It has crossed the limit of 95 °C\.$/),
    });
  });
});
