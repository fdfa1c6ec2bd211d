import { describe, expect, it } from "vitest";
import type { HeatRun } from "../../../server/bench/heat/heatReading.ts";
import { heatSentenceOf } from "../../../server/bench/heat/heatSentence.ts";
import { levelled } from "../../support/levelledRun.ts";

const said = (changes: Partial<HeatRun> = {}) => {
  const { heading, more } = heatSentenceOf({ ...levelled, ...changes });
  return [heading, ...more].map((words) => words.replaceAll("\u00a0", " "));
};

describe("heatSentenceOf", () => {
  it("says the level with its scatter, the rise, when it levelled, the end and the resistance", () => {
    expect(said()).toEqual([
      "Levelled out at 79.9 ± 0.4 °C, 57.4 °C over the room",
      "It came within 1 °C of its level after 7.7 min of load; had it run on, it would have reached 80.1 ± 0.5 °C.",
      "That is 0.522 ± 0.003 °C per watt.",
      "No sign that the chip was held back.",
    ]);
  });

  it("leaves out what is not known", () => {
    expect(said({ ambientC: null, rise: null, resistance: null })).toEqual([
      "Levelled out at 79.9 ± 0.4 °C",
      "It came within 1 °C of its level after 7.7 min of load; had it run on, it would have reached 80.1 ± 0.5 °C.",
      "No sign that the chip was held back.",
    ]);
  });

  it("tells what was still to come where it had not levelled", () => {
    expect(said({ levelledAtS: null, final: { c: 84.2, lowC: 82, highC: 86.6 } })[0]).toBe(
      "Not levelled: 79.9 ± 0.4 °C at the end, and 84.2 ± 2.3 °C had it run on",
    );
  });

  it("says too early, or that no load is seen, in place of a level", () => {
    const none = { level: null, window: null, final: null, levelledAtS: null, rise: null, resistance: null };
    expect(said({ ...none, load: { fromS: 30, toS: 120, foundFrom: "power" } })[0]).toBe(
      "Too early to say: 90 s of load are recorded",
    );
    expect(said({ ...none, load: null })).toEqual(["No load is seen in this trace"]);
  });

  it("gives range and period where it swings, and the mean of the cycles where there are enough", () => {
    const cycle = { lowC: 71.2, highC: 78.6, periodS: 42 };
    expect(
      said({ cycle, level: null, final: null, levelledAtS: null, rise: null, resistance: null })[0],
    ).toBe("It swings between 71 °C and 79 °C about every 42 s");
    const level = { meanC: 74.62, lowC: 74.4, highC: 74.9, windowS: 168, samples: 168, independent: 4 };
    expect(said({ cycle, level, final: null, levelledAtS: null })[0]).toBe(
      "It swings between 71 °C and 79 °C about every 42 s, 74.6 ± 0.3 °C on average",
    );
  });

  it("says that a chip held back would have been hotter", () => {
    expect(said({ throttled: [{ fromS: 300, toS: 345 }] }).at(-1)).toBe(
      "The chip was held back for 45 s: it would have been hotter.",
    );
  });

  it("says first that something changed under way, and not again among the notes", () => {
    const note = "Under load something changed at minute 9: the fans. No end is forecast through that.";
    const notes = [note, "Warm start."];
    const change = { atS: 540, because: "the fans" } as never;
    expect(said({ change, notes })[1]).toBe(note);
    expect(heatSentenceOf({ ...levelled, change, notes }).notes).toEqual(["Warm start."]);
    expect(said({ change: null, notes })[1]).not.toBe(note);
  });

  it("leaves only those notes that say something else", () => {
    const notes = [
      "The chip throttled once, for 45 s in all: the temperature is that of a chip held back.",
      "Warm start.",
    ];
    expect(heatSentenceOf({ ...levelled, notes }).notes).toEqual(["Warm start."]);
  });

  it("writes an end that is three degrees unsure in whole degrees, and none surer than a tenth", () => {
    const ended = (c: number, half: number) =>
      said({ levelledAtS: null, final: { c, lowC: c - half, highC: c + half } })[0];
    expect(ended(84.24, 4.6)).toContain("and 84 ± 5 °C had it run on");
    expect(ended(84.24, 2.9)).toContain("and 84.2 ± 2.9 °C had it run on");
    expect(ended(84.24, 0.01)).toContain("and 84.2 ± 0.1 °C had it run on");
  });

  it("writes degrees below zero with a minus sign", () => {
    const cold = { meanC: -41.26, lowC: -41.5, highC: -41, windowS: 180, samples: 181, independent: 9 };
    expect(said({ level: cold, rise: null })[0]).toBe("Levelled out at −41.3 ± 0.3 °C");
  });
});
