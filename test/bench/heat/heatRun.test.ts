import { describe, expect, it } from "vitest";
import { type HeatQuestion, heatAnswerOf } from "../../../server/bench/heat/heatReading.ts";
import { heatRunOf, resistanceOf } from "../../../server/bench/heat/heatRun.ts";
import { heatSentenceOf } from "../../../server/bench/heat/heatSentence.ts";
import type { HeatTrace } from "../../../server/bench/heat/heatTrace.ts";
import { forecastFrom, type RunForecast } from "../../../server/bench/heat/runForecast.ts";
import { seededRandom } from "../../../server/numerics/seededRandom.ts";
import thermal from "../../reference/thermal.json" with { type: "json" };
import { curveAt, type HeatWorld, heatTrace, levelOf } from "../../support/simulatedHeat.ts";

const world: HeatWorld = {
  idleC: 36,
  quickC: 22,
  slowC: 20,
  quickS: 10,
  slowS: 170,
  wanderC: 0.3,
  memoryS: 12,
  scatterC: 0.3,
  stepC: 0.5,
  driftCPerH: 0,
  lost: 0,
  zeros: 0,
};
const traceOf = (changes: Partial<HeatWorld>, beforeS: number, underS: number, seed = 5) =>
  heatTrace({ ...world, ...changes }, beforeS, underS, seededRandom(seed));
const runForecastOf = (trace: HeatTrace, question: HeatQuestion = {}): RunForecast =>
  forecastFrom(heatRunOf(trace, question), question);
const quiet = { wanderC: 0, scatterC: 0, stepC: 0.001 };
const expectedCase = (id: string) => thermal.thermal.find((one) => one.id === id)!;

describe("heatRunOf", () => {
  it("finds load start, level, end, time constants and peak of an ordinary run", () => {
    const run = heatRunOf(traceOf({}, 60, 900), { ambientC: 22, powerW: 150 });
    expect(run.load?.foundFrom).toBe("temperature");
    expect(Math.abs(run.load!.fromS - 60)).toBeLessThanOrEqual(2);
    expect(Math.abs(run.level!.meanC - 77.85)).toBeLessThan(0.5);
    expect(run.level!.lowC).toBeLessThan(77.85);
    expect(run.level!.highC).toBeGreaterThan(77.85);
    expect(run.level).toMatchObject({ windowS: 180, samples: 181 });
    expect(Math.abs(run.final!.c - 78)).toBeLessThan(0.8);
    const [quick, slow] = heatAnswerOf(run).timeConstantsS;
    expect(Math.abs(quick! / 10 - 1)).toBeLessThan(0.25);
    expect(Math.abs(slow! / 170 - 1)).toBeLessThan(0.25);
    expect(Math.abs(run.levelledAtS! - 170 * Math.log(20))).toBeLessThan(40);
    expect(run.rise!.mid).toBeCloseTo(run.level!.meanC - 22, 10);
    expect(run.resistance!.mid).toBeCloseTo(run.rise!.mid / 150, 10);
  });

  it("holds the end of a quiet sensor's run too, whatever the time constants", () => {
    const ends = [95, 120, 150, 200, 280].flatMap((slowS, i) =>
      [7, 14].map((quickS) => {
        const changes = { slowS, quickS, wanderC: 0.08, scatterC: 0.08, stepC: 0.125 };
        return heatRunOf(traceOf(changes, 60, 1200, 40 + i)).final!;
      }),
    );
    expect(ends.filter(({ lowC, highC }) => lowC < 78 && highC > 78).length).toBeGreaterThanOrEqual(9);
    for (const { c } of ends) expect(Math.abs(c - 78)).toBeLessThan(0.35);
  });

  it("answers in the shape that scripts rely on", () => {
    expect(Object.keys(heatAnswerOf(heatRunOf(traceOf({}, 60, 900)))).sort()).toEqual(
      [
        "ambientC",
        "final",
        "gaps",
        "level",
        "levelledAtS",
        "loadStartS",
        "notes",
        "resistanceCPerW",
        "riseC",
        "throttled",
        "timeConstantsS",
      ].sort(),
    );
  });

  it("averages the window asked for, and counts from the load start given", () => {
    const run = heatRunOf(traceOf({}, 60, 900), { fromS: 300, toS: 400, loadStartS: 62 });
    expect(run.window).toEqual({ fromS: 300, toS: 400 });
    expect(run.load).toMatchObject({ fromS: 62, foundFrom: "given" });
    expect(Math.abs(run.level!.meanC - curveAt(world, 290))).toBeLessThan(1);
  });

  it("takes the last three minutes under load, not of the cooling after it", () => {
    const { t, temperature } = traceOf({}, 60, 900);
    const cooled = Float64Array.from({ length: 240 }, (_, at) => 36 + 42 * Math.exp(-at / 60));
    const trace = {
      t: Float64Array.from({ length: 1200 }, (_, at) => at),
      temperature: Float64Array.from([...temperature, ...cooled]),
    };
    expect(t.length).toBe(960);
    const run = heatRunOf(trace);
    expect(Math.abs(run.load!.toS - 960)).toBeLessThanOrEqual(4);
    expect(Math.abs(run.level!.meanC - 77.85)).toBeLessThan(0.6);
  });

  it("sees the load in the power where that is recorded", () => {
    const { t, temperature } = traceOf({}, 90, 600);
    const power = Float64Array.from(t, (at) => (at < 90 ? 22 : 148) + (at % 3));
    const run = heatRunOf({ t, temperature, power });
    expect(run.load).toMatchObject({ fromS: 90, foundFrom: "power" });
    expect(run.powerW).toBeCloseTo(149, 1);
  });

  it("keeps rise and end apart from a room that warms up", () => {
    const { t, temperature } = traceOf({ driftCPerH: 8 }, 60, 1200);
    const ambient = Float64Array.from(t, (at) => 22 + (8 * Math.max(0, at - 60)) / 3600);
    const lag = (8 * 170) / 3600;
    const warmed = Float64Array.from(
      temperature,
      (value, at) => value - (t[at]! > 60 ? lag * -Math.expm1(-(t[at]! - 60) / 170) : 0),
    );
    const run = heatRunOf({ t, temperature: warmed, ambient });
    expect(Math.abs(run.rise!.mid - (levelOf(world) - 22))).toBeLessThan(0.6);
    expect(run.notes.some((note) => note.includes("The room moved by"))).toBe(true);
  });

  it.each([60, 400])(
    "has a heatsink of %d s feel a room that warms as slowly as it feels the load",
    (slowS) => {
      // A first-order lag behind a ramp of r per second is r (t - tau (1 - exp(-t / tau))); from 20 °C below to one is tau ln 20.
      const [roomCPerS, beforeS] = [8 / 3600, 60];
      const { t, temperature } = traceOf({ ...quiet, slowS }, beforeS, 2400);
      const warming = (at: number): number => Math.max(0, at - beforeS);
      const felt = (at: number): number =>
        roomCPerS * (warming(at) + slowS * Math.expm1(-warming(at) / slowS));
      const run = heatRunOf({
        ...{ t, temperature: temperature.map((value, at) => value + felt(t[at]!)) },
        ambient: t.map((at) => 22 + roomCPerS * warming(at)),
      });
      const [quick, slow] = heatAnswerOf(run).timeConstantsS;
      expect(Math.abs(quick! - 10)).toBeLessThan(0.05);
      expect(Math.abs(slow! / slowS - 1)).toBeLessThan(0.005);
      expect(Math.abs(run.levelledAtS! / (slowS * Math.log(20)) - 1)).toBeLessThan(0.005);
    },
  );

  it("says of a slow loop how much is to come, or before which minute it cannot tell", () => {
    const told = heatRunOf(traceOf({ slowS: 420 }, 60, 900));
    expect(told.levelledAtS).toBeNull();
    expect(told.notes.join(" ")).toMatch(/Not levelled: about \d+\.\d °C are still to come/);
    expect(told.final!.highC).toBeGreaterThan(levelOf(world));
    const slow = heatRunOf(traceOf({ slowS: 900 }, 60, 420));
    expect([slow.final, slow.levelledAtS]).toEqual([null, null]);
    expect(slow.level).not.toBeNull();
    const minute = /cannot be told before minute (\d+)/.exec(slow.notes.join(" "))?.[1];
    expect(Number(minute)).toBeGreaterThan(7);
    expect(heatSentenceOf(slow).heading).toContain(`where it tends cannot be told before minute ${minute}`);
    expect(runForecastOf(traceOf({ slowS: 900 }, 60, 420))).toMatchObject({ state: "too-early" });
  });

  it("forecasts nothing through a fan, a clock, a load or a room that stepped, and keeps the level", () => {
    const { t, temperature } = traceOf({}, 60, 900);
    const stepped = (before: number, after: number) =>
      Float64Array.from(t, (at) => (at < 480 ? before : after));
    const noisy = (values: Float64Array) =>
      values.map((value, at) => value * (1 + 0.004 * Math.sin(at * 1.3)));
    const cases = [
      ["fan", { fan: noisy(stepped(1200, 1040)) }],
      ["clock", { clock: noisy(stepped(4800, 4700)) }],
      ["load", { load: stepped(100, 80) }],
      [
        "power",
        { power: Float64Array.from(noisy(stepped(150, 135)), (watts, at) => (at < 60 ? 20 : watts)) },
      ],
      ["room", { ambient: stepped(22, 24) }],
    ] as const;
    for (const [what, channels] of cases) {
      const run = heatRunOf({ t, temperature, ...channels });
      expect([what, run.change?.what, run.final, run.levelledAtS]).toEqual([what, what, null, null]);
      expect(Math.abs(run.change!.atS - 480)).toBeLessThanOrEqual(35);
      expect(run.level).not.toBeNull();
      expect(run.notes.join(" ")).toContain("something changed at minute 7");
    }
    const steady = {
      fan: noisy(stepped(1200, 1200)),
      clock: noisy(stepped(4800, 4800)),
      ambient: stepped(22, 22.2),
    };
    expect(heatRunOf({ t, temperature, ...steady }).change).toBeNull();
  });

  it("sees a step that no channel tells of in the readings that leave their course", () => {
    const steppedBy = (stepC: number) => {
      const { t, temperature } = traceOf({ wanderC: 0.2, scatterC: 0.2 }, 60, 900);
      return heatRunOf({
        t,
        temperature: temperature.map((c, s) => c - (s < 480 ? 0 : stepC * -Math.expm1(-(s - 480) / 170))),
      });
    };
    const run = steppedBy(4);
    expect([run.change?.what, run.final]).toEqual([null, null]);
    expect(Math.abs(run.change!.atS - 480)).toBeLessThan(60);
    expect(steppedBy(0).change).toBeNull();
  });

  it("says too early before five minutes, and gives no level before four", () => {
    const short = heatRunOf(traceOf({}, 60, 120));
    expect([short.level, short.final, short.levelledAtS]).toEqual([null, null, null]);
    expect(short.notes[0]).toMatch(/Too early to say the level and where it tends/);
    const middling = heatRunOf(traceOf({}, 60, 270));
    expect(middling.level).not.toBeNull();
    expect(middling.final).toBeNull();
  });

  it("gives range and period where fans cycle, and forces no fit on it", () => {
    const random = seededRandom(4);
    const t = Float64Array.from({ length: 960 }, (_, at) => at);
    const temperature = t.map((at) => {
      const swing = at < 150 ? 0 : 4 * Math.asin(Math.sin((2 * Math.PI * at) / 90)) * (2 / Math.PI);
      return Math.round(curveAt(world, at - 60) + swing + 0.4 * random.normal());
    });
    const run = heatRunOf({ t, temperature });
    expect([run.final, run.levelledAtS, run.fit]).toEqual([null, null, null]);
    expect(Math.abs(run.level!.meanC - 77.3)).toBeLessThan(0.7);
    expect(Math.abs(run.cycle!.periodS - 90)).toBeLessThan(8);
    expect(run.cycle!.highC - run.cycle!.lowC).toBeGreaterThan(5);
    expect(run.notes.join(" ")).toMatch(/swings between .* about every \d+ s/);
  });

  it("notes a warm start", () => {
    const t = Float64Array.from({ length: 720 }, (_, at) => at);
    const random = seededRandom(9);
    const temperature = t.map((at) => {
      const before = 48 + 10 * Math.exp(-at / 80);
      const after = 78 - 18 * Math.exp(-(at - 60) / 10) - 7 * Math.exp(-(at - 60) / 170);
      return Math.round(((at < 60 ? before : after) + 0.3 * random.normal()) * 2) / 2;
    });
    const run = heatRunOf({ t, temperature });
    expect(run.notes.join(" ")).toContain("Warm start");
    expect(Math.abs(run.final!.c - 78)).toBeLessThan(1.2);
    expect(heatRunOf(traceOf({}, 60, 900)).notes.join(" ")).not.toContain("Warm start");
  });

  it("finds throttling by flag, else by clock, and by power alone only at the temperature limit", () => {
    const { t, temperature } = traceOf({}, 60, 600);
    const held = (at: number) => at >= 300 && at < 340;
    const clock = Float64Array.from(t, (at) => (held(at) ? 4300 : 4700));
    const power = Float64Array.from(t, (at) => (at < 60 ? 20 : held(at) ? 118 : 150));
    const throttle = Float64Array.from(t, (at) => (at >= 400 && at < 410 ? 1 : 0));
    expect(heatRunOf({ t, temperature, clock, power, throttle }).throttled).toEqual([
      { fromS: 400, toS: 409 },
    ]);
    expect(heatRunOf({ t, temperature, clock, power }).throttled).toEqual([{ fromS: 300, toS: 339 }]);
    expect(heatRunOf({ t, temperature, power }).throttled).toEqual([]);
    expect(heatRunOf({ t, temperature, power }, { tempLimitC: 90 }).throttled).toEqual([]);
    expect(heatRunOf({ t, temperature, power }, { tempLimitC: 72 }).throttled).toEqual([
      { fromS: 300, toS: 339 },
    ]);
    expect(
      heatRunOf({ t, temperature, clock: clock.map(() => 4640) }, { setClockMhz: 4700 }).throttled.length,
    ).toBe(1);
    expect(
      heatRunOf({ t, temperature, clock: clock.map(() => 4700) }, { setClockMhz: 4700 }).throttled,
    ).toEqual([]);
  });

  it("tells gaps, of rows and of readings", () => {
    const { t, temperature } = traceOf({}, 60, 600);
    const keep = [...t.keys()].filter((at) => at < 200 || at > 260);
    const trace = {
      t: Float64Array.from(keep, (at) => t[at]!),
      temperature: Float64Array.from(keep, (at) => (at > 400 && at < 430 ? Number.NaN : temperature[at]!)),
    };
    expect(heatRunOf(trace).gaps).toEqual([
      { fromS: 199, toS: 261 },
      { fromS: 400, toS: 430 },
    ]);
  });

  it("has an answer in words for a constant, a short, an idle and an empty trace", () => {
    const t = Float64Array.from({ length: 900 }, (_, at) => at);
    const constant = heatRunOf({ t, temperature: t.map(() => 45) });
    expect(constant.notes[0]).toContain("does not change");
    expect([constant.level, constant.final, constant.load]).toEqual([null, null, null]);
    const asked = heatRunOf({ t, temperature: t.map(() => 45) }, { loadStartS: 0 });
    expect(asked.level).toMatchObject({ meanC: 45 });
    const empty = heatRunOf({ t, temperature: t.map(() => Number.NaN) });
    expect(empty.notes[0]).toBe("The trace holds no temperature.");
    expect(heatRunOf({ t: t.slice(0, 4), temperature: t.slice(0, 4) }).final).toBeNull();
    expect(heatRunOf({ t: [], temperature: [] }).level).toBeNull();
  });
});

describe("published relations", () => {
  it("63.2 % of the rise are there at one time constant (rc-one-tau, University Physics vol. 2, 10.5)", () => {
    const { fraction } = expectedCase("rc-one-tau").expected as { fraction: number };
    const run = heatRunOf(traceOf({ ...quiet, quickC: 0.0001, slowC: 40, slowS: 120 }, 0, 900), {
      loadStartS: 0,
    });
    const constants = heatAnswerOf(run).timeConstantsS;
    const slow = constants[constants.length - 1]!;
    const there = (36 + 40 * -Math.expm1(-slow / 120) - 36) / 40;
    expect(Math.abs(there - fraction)).toBeLessThan(0.0015);
    expect(Math.abs(slow - 120)).toBeLessThan(0.5);
  });

  it("86.5, 95.0, 98.2 and 99.3 % at two to five time constants (from memory, a formula)", () => {
    const { fraction } = expectedCase("fractions").expected as { fraction: number[] };
    const steady: HeatWorld = { ...world, idleC: 0, quickC: 0, slowC: 1, slowS: 100 };
    fraction.forEach((share, at) => {
      expect(curveAt(steady, 100 * (at + 1))).toBeCloseTo(share, 12);
    });
  });

  it("thermal resistance is rise by power, and its limit gives the power allowed (pdmax-derating)", () => {
    const { inputs, expected } = expectedCase("pdmax-derating") as {
      inputs: { Tjmax: number; theta_degC_per_mW: number; Ta: number[] };
      expected: { Pmax_mW: number[] };
    };
    expected.Pmax_mW.forEach((powerMw, at) => {
      const rise = inputs.Tjmax - inputs.Ta[at]!;
      const found = resistanceOf(exactly(rise), exactly(powerMw));
      expect(found!.mid).toBeCloseTo(inputs.theta_degC_per_mW, 12);
    });
  });

  it("relative uncertainties of rise and power add as squares (JCGM 100:2008, 5.1.6)", () => {
    const found = resistanceOf({ mid: 50, low: 49, high: 51 }, { mid: 100, low: 97, high: 103 })!;
    expect((found.high - found.low) / 2 / found.mid).toBeCloseTo(Math.hypot(0.02, 0.03), 12);
    expect(resistanceOf(exactly(50), exactly(0))).toBeNull();
    expect(resistanceOf(null, exactly(10))).toBeNull();
  });
});

const exactly = (value: number) => ({ mid: value, low: value, high: value });

describe("forecastFrom", () => {
  it("says where a run tends while it goes on, and when it is there", () => {
    const early = runForecastOf(traceOf({}, 60, 120));
    expect(early).toMatchObject({ state: "too-early" });
    const going = runForecastOf(traceOf({}, 60, 330), { tempLimitC: 95 });
    expect(going).toMatchObject({ state: "forecast", crossesLimit: "no", levelled: false });
    if (going.state !== "forecast") return;
    expect(going.lowC).toBeLessThan(78);
    expect(going.highC).toBeGreaterThan(78);
    expect(going.sentence).toMatch(/^Would level at \d+ ± \d+ °C in \d+ minutes?/);
    const done = runForecastOf(traceOf({}, 60, 1500));
    expect(done).toMatchObject({ state: "forecast", levelled: true, levelsInS: 0 });
    if (done.state === "forecast") expect(done.sentence).toMatch(/^Levelled at 78 ± 1 °C; you may stop\.$/);
  });

  it("tells throttling, and that unthrottled it would level higher, as the page does", () => {
    const { t, temperature } = traceOf({}, 60, 900);
    const trace = { t, temperature, clock: Float64Array.from(t, (at) => (at < 60 ? 800 : 4348)) };
    const held = runForecastOf(trace, { setClockMhz: 4800 });
    const words = "Held back at 4348 MHz: unthrottled it would level higher.";
    expect(held.state === "forecast" && held.sentence).toContain(words);
    expect(heatSentenceOf(heatRunOf(trace, { setClockMhz: 4800 })).more).toContain(words);
  });

  it("gives a pulsing load the mean of its cycles and no end, and sees no throttling in its power", () => {
    const t = Float64Array.from({ length: 960 }, (_, at) => at);
    const on = (s: number) => s >= 60 && (s - 60) % 60 < 30;
    const power = t.map((s) => (s < 60 ? 15 : on(s) ? 150 : 60));
    let quick = 0;
    const temperature = t.map((s) => {
      quick += ((s < 60 ? 0 : on(s) ? 30 : 12) - quick) / 10;
      return 40 + quick + (s < 60 ? 0 : 12 * -Math.expm1(-(s - 60) / 150));
    });
    const run = heatRunOf({ t, temperature, power }, { tempLimitC: 75 });
    expect(run.cycle).toMatchObject({ periodS: 60 });
    expect(Math.abs(run.level!.meanC - 73)).toBeLessThan(0.7);
    expect([run.final, run.throttled]).toEqual([null, []]);
    expect(runForecastOf({ t, temperature, power }, { tempLimitC: 75 })).toMatchObject({ state: "no-end" });
  });

  it("warns where the forecast crosses the limit", () => {
    const surely = runForecastOf(traceOf({}, 60, 400), { tempLimitC: 74 });
    expect(surely).toMatchObject({ crossesLimit: "surely" });
    if (surely.state === "forecast") expect(surely.sentence).toContain("would cross the limit of 74 °C");
  });
});
