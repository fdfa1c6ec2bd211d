import { describe, expect, it } from "vitest";
import { efficiencyOf, lastStepCost } from "../../../server/bench/power/efficiency.ts";
import { wattsOf } from "../../../server/bench/power/leakingPower.ts";
import { droopMv, loadLinesOf } from "../../../server/bench/power/loadLine.ts";
import { phaseCurrentOf } from "../../../server/bench/power/phaseCurrent.ts";
import { powerFitOf } from "../../../server/bench/power/switchingPower.ts";
import { arrheniusFactor, relativeWear } from "../../../server/bench/power/wear.ts";
import type { ElectricalRun } from "../../../server/bench/runs/electricalRun.ts";
import published from "../../reference/electrical.json" with { type: "json" };
import { leakageW, leakyPowerW, leakySteadyC, oneLeakyBuild, widelySet } from "../../support/leakyBuild.ts";

const electrical = (over: Partial<ElectricalRun>): ElectricalRun => ({
  id: "run",
  workloadId: "all-core",
  clockMhz: 4600,
  voltageMv: 1200,
  outcome: "pass",
  loadVoltageMv: null,
  voltageReadAt: null,
  loadLine: null,
  currentA: null,
  powerW: null,
  powerAt: null,
  effectiveClockMhz: null,
  throttled: null,
  loadTempC: null,
  score: null,
  ...over,
});

/** Watts of what switches alone, a farad being a million W per V^2 MHz. */
const switchedW = (farads: number, volts: number, hertz: number): number =>
  wattsOf(
    { switched: farads * 1e6, leakW: 0, perVolt: 0, perC: 0, restW: 0 },
    { volts, clockMhz: hertz / 1e6, tempC: 65 },
    { volts, tempC: 65 },
  );

describe("switching power", () => {
  it("is a C V^2 f without a half, as in the textbook's telephone", () => {
    const { activity, capacitanceF, volts, hertz, watts, within } = published.harris;
    expect(Math.abs(switchedW(activity * capacitanceF, volts, hertz) - watts)).toBeLessThan(within);
  });
  it.each(published.ratios)(
    "voltage times $voltage and clock times $clock makes power times $power",
    ({ voltage, clock, power }) => {
      const ratio = switchedW(1e-9, voltage, clock * 1e9) / switchedW(1e-9, 1, 1e9);
      expect(ratio).toBeCloseTo(power, 12);
    },
  );

  const truth = oneLeakyBuild;
  const settings = widelySet;
  const readAt = ([clockMhz, voltageMv]: readonly [number, number]) => {
    const setting = { volts: voltageMv / 1000, clockMhz };
    const loadTempC = leakySteadyC(truth, setting, 22);
    return electrical({ clockMhz, voltageMv, loadTempC, powerW: leakyPowerW(truth, setting, loadTempC) });
  };

  it("is told from leakage that grows with voltage and heat", () => {
    const fit = powerFitOf(settings.map(readAt), "all-core");
    if ("unknown" in fit) throw new Error(fit.unknown);
    const { voltageMv, tempC } = fit.staticAt;
    const leaks = leakageW(truth, voltageMv / 1000, tempC);
    expect(fit.unseparated).toBeNull();
    expect(Math.abs(fit.switchedCapacitanceNf!.value - 20)).toBeLessThan(1.5);
    expect(Math.abs(fit.staticW!.value - leaks)).toBeLessThan(8);
    expect(fit.staticW!.low).toBeGreaterThan(0);
  });
  it("tells what a step costs in watts, with ends about as far above it as below", () => {
    const fit = powerFitOf(settings.map(readAt), "all-core");
    if ("unknown" in fit) throw new Error(fit.unknown);
    const at = (clockMhz: number, voltageMv: number) => {
      const setting = { volts: voltageMv / 1000, clockMhz };
      const tempC = leakySteadyC(truth, setting, 22);
      return { arrivedMv: voltageMv, clockMhz, tempC, watts: leakyPowerW(truth, setting, tempC) };
    };
    const [from, to] = [at(4600, 1200), at(4800, 1300)];
    const { low, value, high } = fit.moreW(from, to);
    expect(Math.abs(value - (to.watts - from.watts))).toBeLessThan(3);
    expect((high! - value) / (value - low!)).toBeGreaterThan(0.4);
    expect((high! - value) / (value - low!)).toBeLessThan(2.5);
  });
  it("and leakage are not told where readings lie at one place or at the wall, and it is said why", () => {
    const near = [4595, 4600, 4605, 4600].map((clockMhz) => readAt([clockMhz, 1200]));
    const fit = powerFitOf(near, "all-core");
    expect(fit).toMatchObject({ switchedCapacitanceNf: null, staticW: null });
    expect(fit).toHaveProperty("unseparated", expect.stringContaining("do not separate"));
    const wall = settings.map((one) => ({ ...readAt(one), powerAt: "wall" as const }));
    expect(powerFitOf(wall, "all-core")).toHaveProperty(
      "unseparated",
      expect.stringContaining("at the wall"),
    );
  });
  it("one setting, or no reading, says why it tells nothing", () => {
    expect(powerFitOf([], "all-core")).toEqual({
      unknown: "No power was read under this load in a run that kept running.",
    });
    expect(powerFitOf([electrical({ powerW: 200 })], "all-core")).toHaveProperty("unknown");
    const level = [4600, 4700, 4800].map((clockMhz) => electrical({ clockMhz, powerW: 200 }));
    expect(powerFitOf(level, "all-core")).toEqual({ unknown: expect.stringContaining("did not grow") });
  });
  it("readings at the wall are not mixed with readings at the chip", () => {
    const runs = settings.map(([clockMhz, voltageMv], n) =>
      electrical({
        clockMhz,
        voltageMv,
        powerW: readAt([clockMhz, voltageMv]).powerW! + (n > 2 ? 80 : 0),
        powerAt: n > 2 ? "wall" : "chip",
      }),
    );
    expect(powerFitOf(runs, "all-core")).toMatchObject({ powerAt: "chip", readings: 3 });
  });
});

describe("efficiency", () => {
  const runs = [
    electrical({ clockMhz: 4600, voltageMv: 1200, powerW: 180, score: 9200 }),
    electrical({ clockMhz: 4700, voltageMv: 1250, powerW: 207, score: 9380 }),
    electrical({ clockMhz: 4700, voltageMv: 1300, powerW: 230, score: 9380 }),
    electrical({ clockMhz: 4800, voltageMv: 1350, powerW: 250, score: 9400, throttled: true }),
  ];
  it("is clock and score per watt at each setting, a throttled one without its clock left out", () => {
    const found = efficiencyOf(runs, "all-core", "chip");
    expect(found.map((one) => [one.clockMhz, one.voltageMv])).toEqual([
      [4600, 1200],
      [4700, 1250],
      [4700, 1300],
    ]);
    expect(found[0]!.mhzPerW).toBeCloseTo(25.56, 2);
    expect(found[0]!.scorePerW).toBeCloseTo(51.11, 2);
  });
  it("and the last step carry ends where the scatter of a reading is known", () => {
    const known = efficiencyOf(
      [...runs, electrical({ powerW: 182, score: 9210 })],
      "all-core",
      "chip",
      () => 0.01,
    );
    const [first] = known;
    expect(first!.mhzPerWEnds![0]).toBeCloseTo(first!.mhzPerW * Math.exp(-0.01), 6);
    expect(first!.mhzPerWEnds![1]).toBeCloseTo(first!.mhzPerW * Math.exp(0.01), 6);
    expect(first!.scorePerWEnds![0]).toBeLessThan(first!.scorePerW!);
    const step = lastStepCost(known, 4700, 0.01)!;
    expect(step.extraWEnds![1] - step.extraW).toBeCloseTo(Math.hypot(1.81 / Math.SQRT2, 2.07), 6);
    expect(efficiencyOf(runs, "all-core", "chip")[0]!.mhzPerWEnds).toBeNull();
  });
  it("the last step's cost is told from the lowest voltages", () => {
    const cost = lastStepCost(efficiencyOf(runs, "all-core", "chip"), 4700)!;
    expect(cost).toMatchObject({ fromMhz: 4600, toMhz: 4700, extraW: 27 });
    expect(cost.words).toBe("From 4600 to 4700 MHz: 27 W more (+15.0 %) for +2.0 % score.");
    expect(lastStepCost(efficiencyOf(runs, "all-core", "chip"), 4600)).toBeUndefined();
  });
});

describe("droop and load-line", () => {
  const { emf, ohm, amperes, volts } = published.sourceResistance;
  it("find the textbook source's resistance from its terminal voltages", () => {
    const runs = amperes.map((currentA, n) =>
      electrical({ voltageMv: emf * 1000, loadVoltageMv: volts[n]! * 1000, currentA, loadLine: "normal" }),
    );
    const [line] = loadLinesOf(runs);
    if (line === undefined || "unknown" in line) throw new Error("no line");
    expect(line.milliohm.value).toBeCloseTo(ohm * 1000, 3);
    expect(line.offsetMv.value).toBeCloseTo(0, 2);
    expect(droopMv(runs[1]!)).toBe(2000);
  });
  it("each firmware setting has its own line, and current may come from the chip's power", () => {
    const runs = [
      electrical({ loadLine: "flat", loadVoltageMv: 1190, powerW: 119, currentA: null }),
      electrical({ loadLine: "flat", loadVoltageMv: 1180, powerW: 236, currentA: null }),
      electrical({ loadLine: "steep", loadVoltageMv: 1100, currentA: 150 }),
    ];
    const lines = loadLinesOf(runs);
    expect(lines[0]).toMatchObject({ setting: "flat", currentWorkedOut: true });
    expect("milliohm" in lines[0]! && lines[0].milliohm.value).toBeCloseTo(0.1, 6);
    expect(lines[1]).toMatchObject({
      setting: "steep",
      unknown: expect.stringContaining("one current only"),
    });
  });
});

describe("current per phase", () => {
  it("is held against the board's rating", () => {
    const board = { corePhases: 12, phaseRatingA: 60 };
    expect(phaseCurrentOf(240, board)).toMatchObject({ perPhaseA: 20, state: "ok" });
    expect(phaseCurrentOf(600, board)).toMatchObject({ state: "near" });
    expect(phaseCurrentOf(800, board)).toMatchObject({ state: "over" });
  });
  it("without a rating it is not judged, without a count not worked out", () => {
    expect(phaseCurrentOf(240, { corePhases: 12, phaseRatingA: null })).toMatchObject({
      state: "unknown",
      share: null,
    });
    expect(phaseCurrentOf(240, { corePhases: 12, phaseRatingA: 0 })).toMatchObject({ state: "unknown" });
    expect(phaseCurrentOf(240, { corePhases: null, phaseRatingA: 60 })).toBeUndefined();
  });
});

describe("relative wear", () => {
  const { arrhenius, yang } = published;
  it.each(arrhenius.activationEv.map((ev, n) => [ev, arrhenius.factor[n]!, arrhenius.within[n]!]))(
    "at %d eV 25 to 125 °C goes %d times as fast, as the handbook says",
    (ev, factor, within) => {
      expect(Math.abs(arrheniusFactor(ev, arrhenius.fromC, arrhenius.toC) - factor)).toBeLessThanOrEqual(
        within,
      );
    },
  );
  it("agrees with the textbook's 3.5 between 35 and 70 °C", () => {
    expect(Math.abs(arrheniusFactor(yang.activationEv, yang.fromC, yang.toC) - yang.factor)).toBeLessThan(
      yang.within,
    );
  });
  it("comes as a wide range with its caution, and turned round it is the inverse", () => {
    const [calm, hot] = [
      { voltageMv: 1200, tempC: 70 },
      { voltageMv: 1350, tempC: 90 },
    ];
    const there = relativeWear(calm, hot);
    const back = relativeWear(hot, calm);
    expect(there.low).toBeGreaterThan(1);
    expect(there.high / there.low).toBeGreaterThan(5);
    expect(back.high).toBeCloseTo(1 / there.low, 9);
    expect(there.words).toMatch(/^Wears .* times as fast\.$/);
    const range = /Wears ([\d.]+) to ([\d.]+) times/;
    expect(back.words).toMatch(/ times more slowly\.$/);
    expect(range.exec(back.words)?.slice(1)).toEqual(range.exec(there.words)?.slice(1));
    expect(there.caution).toContain("No chip was measured");
  });
  it("more voltage but cooler may go either way, and says so", () => {
    const { low, high, words } = relativeWear({ voltageMv: 1200, tempC: 90 }, { voltageMv: 1300, tempC: 70 });
    expect([low < 1, high > 1]).toEqual([true, true]);
    expect(words).toBe(
      `May wear up to ${high.toFixed(1)} times as fast or up to ${(1 / low).toFixed(1)} times more slowly.`,
    );
  });
  it("a little more of both surely wears faster, however little", () => {
    const { low, high, words } = relativeWear({ voltageMv: 1200, tempC: 70 }, { voltageMv: 1212, tempC: 72 });
    expect(words).toBe(`Wears ${low.toFixed(1)} to ${high.toFixed(1)} times as fast.`);
    expect([low > 1, low < 1.2, high > low]).toEqual([true, true, true]);
  });
  it("the same setting wears the same", () => {
    const same = { voltageMv: 1200, tempC: 70 };
    expect(relativeWear(same, same)).toMatchObject({ low: 1, middle: 1, high: 1 });
  });
});
