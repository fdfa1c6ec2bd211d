import { describe, expect, it } from "vitest";
import { usualAssumptions } from "../../../server/bench/comparison/assumptions.ts";
import { judgedClock } from "../../../server/bench/comparison/clockApart.ts";
import { sameSettingRows } from "../../../server/bench/comparison/sameSetting.ts";
import { sameVoltageRows } from "../../../server/bench/comparison/sameVoltage.ts";
import {
  stepsBetween,
  type WordedComparison,
  wordsOfComparison,
} from "../../../server/bench/comparison/sentence.ts";
import { build, fittedApart, run } from "./benchDay.ts";

const nothing: WordedComparison = {
  aName: "Open frame",
  bName: "Cupboard",
  sameChip: true,
  clockStepMhz: 25,
  clockUnit: "MHz" as const,
  clock: judgedClock(null, usualAssumptions),
  offsets: null,
  sameVoltage: [],
  sameSetting: [],
  noise: [],
};
const point = (voltageMv: number, heldMhz: number, lowestCrashMhz: number | null) => ({
  voltageMv,
  highestPassedMhz: heldMhz,
  heldMhz,
  lowestCrashMhz,
});
const clocks = (a: number, b: number, crashAbove: number | null = 25) =>
  sameVoltageRows({
    a: [point(1250, a, crashAbove === null ? null : a + crashAbove)],
    b: [point(1250, b, crashAbove === null ? null : b + crashAbove)],
    assumptions: usualAssumptions,
  });
const fitted = (differenceMhz: number, half: number, wider = half) => {
  const apart = fittedApart(differenceMhz, differenceMhz - half, differenceMhz + half, 1250);
  const alone = { voltageMv: 1300, differenceMhz, low: differenceMhz - wider, high: differenceMhz + wider };
  const both = { ...apart, voltages: [...apart.voltages, ...(wider === half ? [] : [alone])] };
  return {
    clock: judgedClock(both, usualAssumptions),
    sameVoltage: sameVoltageRows({
      a: [point(1250, 4800, 4825)],
      b: [point(1250, 4750, 4775)],
      apart: both,
      assumptions: usualAssumptions,
    }),
  };
};
const heat = (a: readonly number[], b: readonly number[]) => {
  const mounted = (name: string, temps: readonly number[]) =>
    build(
      name,
      temps.map((loadTempC, n) => run({ id: `${name}${n}`, mountId: `${name}${n}`, loadTempC })),
    );
  return sameSettingRows({
    a: mounted("Open frame", a),
    b: mounted("Cupboard", b),
    others: [],
    idleWorkloadIds: new Set(),
    assumptions: usualAssumptions,
  });
};

describe("the one sentence at the top", () => {
  it("lets the best documented setting speak for the heat, not the one where chance was kindest", () => {
    const [documented] = heat([80, 80.5, 79.5], [80.2, 80.7, 79.7]);
    const lucky = {
      ...documented!,
      clockMhz: 4400,
      difference: -5,
      low: -8,
      high: -2,
      verdict: "differs" as const,
    };
    const { sentence } = wordsOfComparison({ ...nothing, sameSetting: [documented!, lucky] });
    expect(documented).toMatchObject({ measure: "loadRise", verdict: "within-scatter" });
    expect(sentence).toBe("Load temperatures do not differ beyond scatter.");
  });
  it("names the build that goes further and cooler once, with steps and degrees", () => {
    const words = wordsOfComparison({
      ...nothing,
      ...fitted(-45, 25),
      sameSetting: heat([78.2, 79.1, 77.6], [84.6, 85.3, 83.9]),
    });
    expect(words.sentence).toBe("Open frame goes one or two steps further and runs 6 °C cooler.");
    expect(words.detail).toMatch(
      /^At 1\.250 V Open frame holds 4800 MHz and Cupboard holds 4750 MHz\. At 1\.250 V the limit of Cupboard lies 20 to 70 MHz below that of Open frame\./,
    );
    expect(words.caution).toBeNull();
  });

  it("gives each build its own claim where they win different things", () => {
    const { sentence } = wordsOfComparison({
      ...nothing,
      ...fitted(45, 25),
      sameSetting: heat([78.2, 79.1, 77.6], [84.6, 85.3, 83.9]),
    });
    expect(sentence).toBe("Cupboard goes one or two steps further; Open frame runs 6 °C cooler.");
  });

  it("tells at which voltage the verdict of all of them does not stand", () => {
    const words = wordsOfComparison({ ...nothing, ...fitted(45, 25, 60) });
    expect(words.sentence).toBe("Cupboard goes one or two steps further.");
    expect(words.detail).toContain("On the mean of 2 voltages, 1.250 V to 1.300 V, the limit of Cupboard");
    expect(words.detail).toContain(
      "lies 20 to 70 MHz above that of Open frame, not decided at 1.300 V alone.",
    );
  });

  it("tells heat with its interval, the way round it is told, and of how many mounts each side is", () => {
    const cool = [78.2, 79.1, 77.6];
    const warm = [84.6, 85.3, 83.9, 84.6];
    const detail = (a: readonly number[], b: readonly number[]) =>
      wordsOfComparison({ ...nothing, sameSetting: heat(a, b) }).detail;
    const told = (detailOf: string) =>
      /Cupboard is 6\.3 °C (hotter|cooler) over the room \((\d\.\d) to (\d\.\d), (\d and \d mounts)\)/.exec(
        detailOf,
      ) ?? [];
    const [, up, low, high, mounts] = told(detail(cool, warm));
    expect([up, mounts]).toEqual(["hotter", "3 and 4 mounts"]);
    expect((Number(low) + Number(high)) / 2).toBeCloseTo(6.3, 0);
    expect(Number(low)).toBeLessThan(6.3);
    expect(told(detail(warm, cool)).slice(1)).toEqual(["cooler", low, high, "4 and 3 mounts"]);
  });

  it("never prints a nearer end that differs as zero", () => {
    const { detail } = wordsOfComparison({ ...nothing, ...fitted(4.2, 4) });
    expect(detail).toContain("lies 0.2 to 8.2 MHz above that of Open frame.");
  });

  it("tells an undecided difference by its directions, never by a sign", () => {
    const { detail } = wordsOfComparison({
      ...nothing,
      ...fitted(-5, 25),
      sameSetting: heat([78, 81, 77], [78.5, 80, 76]),
    });
    expect(detail).toContain("the limit of Cupboard lies between 30 MHz below and 20 MHz above that of Open");
    expect(detail).toMatch(
      /Cupboard read 0\.5 °C cooler than Open frame \(between \d\.\d °C cooler and \d\.\d °C hotter,/,
    );
    expect(detail).not.toMatch(/[−+]\d| less Open frame/);
  });

  it("tells the smaller direction of an undecided difference as what it is, however small", () => {
    const nearly = heat([78, 79, 77, 78.5], [77, 78, 76, 77.5]);
    expect(nearly[0]).toMatchObject({ difference: -1, verdict: "within-scatter" });
    expect(wordsOfComparison({ ...nothing, sameSetting: nearly }).detail).toMatch(
      /Cupboard read 1\.0 °C cooler than Open frame \(between 2\.\d °C cooler and 0\.\d °C hotter,/,
    );
  });

  it("judges clock, heat and noise together: what barely differs by itself is not claimed", () => {
    const barely = heat([78, 79, 77, 78.5], [79.8, 80.8, 78.8, 80.3]);
    expect(barely[0]).toMatchObject({ measure: "loadRise", verdict: "differs" });
    const alone = wordsOfComparison({ ...nothing, sameSetting: barely });
    expect(alone.sentence).toMatch(/runs \S+ °C cooler/);
    const all = wordsOfComparison({ ...nothing, ...fitted(10, 30), sameSetting: barely });
    expect(all.sentence).toContain("may differ, but that is not sure");
    expect(all.together.map(({ verdict }) => verdict)).toEqual(["within-scatter", "within-scatter"]);
    expect(alone.detail).toMatch(/Cupboard is \S+ °C hotter over the room/);
    expect(all.detail).toMatch(
      /Cupboard read 1\.8 °C hotter than Open frame \(0\.\d to 3\.\d °C hotter, 4 and 4 mounts\)/,
    );
  });

  it("observed clocks come with their bracket, and heat from one mount each claims nothing", () => {
    const { sentence } = wordsOfComparison({
      ...nothing,
      sameVoltage: clocks(4800, 4750),
      sameSetting: heat([78], [84]),
    });
    expect(sentence).toBe(
      "Open frame held 50 MHz more at 1.250 V (observed: at least 25, at most 75); which one runs cooler takes more mounts to say.",
    );
  });

  it("an untried next step is said, not guessed", () => {
    const { sentence } = wordsOfComparison({ ...nothing, sameVoltage: clocks(4800, 4800, null) });
    expect(sentence).toContain("both held 4800 MHz at 1.250 V".replace("both", "Both"));
    expect(sentence).toContain("never tried");
  });

  it("without anything in common it says so", () => {
    expect(wordsOfComparison(nothing).sentence).toMatch(
      /^Nothing can be said of Open frame and Cupboard yet/,
    );
  });

  it("two samples of the chip are said above everything", () => {
    expect(wordsOfComparison({ ...nothing, sameChip: false }).caution).toContain("two samples");
  });

  it.each([
    [20, 70, "one or two steps"],
    [20, 30, "one step"],
    [5, 20, null],
    [30, 40, "about one step"],
    [30, 140, "two to five steps"],
    [30, null, "at least two steps"],
  ])("%d to %s MHz in steps of 25 is %s", (near, far, words) => {
    expect(stepsBetween(near, far, 25)).toBe(words);
  });
});
