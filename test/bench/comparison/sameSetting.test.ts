import { describe, expect, it } from "vitest";
import { usualAssumptions } from "../../../server/bench/comparison/assumptions.ts";
import {
  type SameSettingQuestion,
  sameSettingRows,
  sameSettingScores,
} from "../../../server/bench/comparison/sameSetting.ts";
import { seededRandom } from "../../../server/numerics/seededRandom.ts";
import { build, run, simulatedBuild } from "./benchDay.ts";

const asked = (over: Partial<SameSettingQuestion> & Pick<SameSettingQuestion, "a" | "b">) => ({
  others: [],
  idleWorkloadIds: new Set(["idle"]),
  assumptions: usualAssumptions,
  ...over,
});

const mounted = (name: string, temps: readonly number[], ambientC = 22) =>
  build(
    name,
    temps.map((loadTempC, n) => run({ id: `${name}${n}`, mountId: `${name}${n}`, loadTempC, ambientC })),
  );

describe("same setting, same workload", () => {
  it("the room is taken out: a hotter day is not a hotter build", () => {
    const a = mounted("Frame", [80.2, 80.9, 79.8], 20);
    const b = mounted("Cupboard", [85.3, 85.8, 84.9], 25);
    const [row] = sameSettingRows(asked({ a, b }));
    expect(row).toMatchObject({ measure: "loadRise", unit: "°C", verdict: "within-scatter" });
    expect(row!.difference).toBeCloseTo(0.033, 2);
  });

  it("one run each is not enough, without an interval, and it is said what would decide it", () => {
    const [row] = sameSettingRows(asked({ a: mounted("Frame", [80]), b: mounted("Cupboard", [86]) }));
    expect(row).toMatchObject({
      verdict: "not-enough",
      low: null,
      high: null,
      runs: [1, 1],
      mounts: [1, 1],
      difference: 6,
    });
    expect(row!.wouldDecide).toContain("Take the cooler off");
  });

  it("many runs on one mount are one mount", () => {
    const onOneMount = (name: string, temps: number[]) =>
      build(
        name,
        temps.map((loadTempC, n) => run({ id: `${name}${n}`, mountId: name, loadTempC })),
      );
    const a = onOneMount("Frame", [80, 80.1, 79.9, 80]);
    const b = onOneMount("Cupboard", [86, 86.1, 85.9, 86]);
    const [row] = sameSettingRows(asked({ a, b }));
    expect(row).toMatchObject({ verdict: "not-enough", runs: [4, 4], mounts: [1, 1] });
    const cooler = { ...usualAssumptions, coolerStayedOn: true };
    expect(sameSettingRows(asked({ a, b, assumptions: cooler }))[0]).toMatchObject({ verdict: "differs" });
  });

  it("a scatter known from other builds of the chip, or stated, speaks for single mounts", () => {
    const [a, b] = [mounted("Frame", [80]), mounted("Cupboard", [86])];
    const others = [mounted("Shelf", [77, 78.1, 77.6, 78.4])];
    const [known] = sameSettingRows(asked({ a, b, others }));
    expect(known).toMatchObject({ verdict: "differs", mounts: [1, 1] });
    expect(known!.notes.join(" ")).toContain("other builds of this chip");
    const assumptions = { ...usualAssumptions, mountScatterC: 1 };
    const [stated] = sameSettingRows(asked({ a, b, assumptions }));
    expect(stated).toMatchObject({ verdict: "differs" });
    expect(stated!.budget.find((line) => line.source === "mount to mount")!.from).toContain("stated");
  });

  it("the counted lines of the budget make up the interval, and scatter is counted once", () => {
    const day = { riseC: 60, mounts: 3, runsPerMount: 3, mountC: 0.8, runC: 0.4 };
    const random = seededRandom(11);
    const [row] = sameSettingRows(
      asked({ a: simulatedBuild("Frame", day, random), b: simulatedBuild("Cupboard", day, random) }),
    );
    const scatter = row!.budget.filter((line) => line.source.includes(" to "));
    expect(scatter.map((line) => [line.source, line.counted])).toEqual([
      ["run to run", false],
      ["mount to mount", true],
    ]);
    const standard = Math.hypot(...row!.budget.filter((l) => l.counted).flatMap((l) => [l.a!, l.b!]));
    const halfWidth = (row!.high! - row!.low!) / 2;
    expect(halfWidth / standard).toBeGreaterThan(1.96);
    expect(halfWidth / standard).toBeLessThan(2.777);
  });

  it("how sure a trace is of its own level is shown, and counted by the scatter between runs alone", () => {
    const traced = (name: string, temps: readonly number[]) =>
      build(
        name,
        mounted(name, temps).runs.map((one, n) => ({ ...one, traced: true, withinRunC: [0.3, 0.4][n]! })),
      );
    const temps = { a: [80.2, 80.9], b: [85.3, 85.8] };
    const [row] = sameSettingRows(asked({ a: traced("Frame", temps.a), b: traced("Cupboard", temps.b) }));
    const line = row!.budget.find(({ source }) => source === "within a run");
    expect(line).toMatchObject({ a: expect.closeTo(0.25, 9), b: expect.closeTo(0.25, 9), counted: false });
    const [plain] = sameSettingRows(asked({ a: mounted("Frame", temps.a), b: mounted("Cupboard", temps.b) }));
    expect([row!.low, row!.high]).toEqual([plain!.low, plain!.high]);
  });

  it("identical whole-degree readings do not make one degree certain", () => {
    const [row] = sameSettingRows(
      asked({ a: mounted("Frame", [80, 80, 80]), b: mounted("Cupboard", [81, 81, 81]) }),
    );
    expect(row!.budget.some((line) => line.source === "rounding")).toBe(true);
    expect(row!.high! - row!.low!).toBeGreaterThan(1.6);
    expect(row!.low).toBeLessThan(0.2);
  });

  it("a real difference smaller than is worth having is called so", () => {
    const temps = [80.01, 80.02, 80.03, 80.02, 80.01, 80.02];
    const [a, b] = [temps, temps.map((t) => t + 0.9)];
    const rowWhere = (loadRise: number) =>
      sameSettingRows(
        asked({
          ...{ a: mounted("Frame", a), b: mounted("Cupboard", b) },
          assumptions: { ...usualAssumptions, worthHaving: { loadRise } },
        }),
      )[0]!;
    const row = rowWhere(1);
    expect(row).toMatchObject({ verdict: "differs", smallerThan: "worth-having" });
    expect(rowWhere(row.difference!).smallerThan).toBeNull();
  });

  it("runs without a room temperature, throttled or crashed are left out and counted", () => {
    const base = mounted("Frame", [80, 81]);
    const a = build("Frame", [
      ...base.runs,
      run({ id: "x", mountId: "Frame0", ambientC: null }),
      run({ id: "y", mountId: "Frame0", throttled: true, loadTempC: 95 }),
      run({ id: "z", mountId: "Frame0", outcome: "freeze", loadTempC: 70 }),
    ]);
    const [row] = sameSettingRows(asked({ a, b: mounted("Cupboard", [80, 81]) }));
    expect(row!.runs).toEqual([2, 2]);
    expect(row!.notes.join(" ")).toMatch(/^3 runs/);
  });

  it("two chips are two sensors, and nothing of their accuracy cancels", () => {
    const [a, b] = [mounted("Frame", [80, 80.4, 79.8]), mounted("Cupboard", [81.6, 81.9, 81.5])];
    const one = sameSettingRows(asked({ a, b }))[0]!;
    const two = sameSettingRows(asked({ a, b, assumptions: { ...usualAssumptions, sameSensor: false } }))[0]!;
    expect(two.high! - two.low!).toBeGreaterThan(one.high! - one.low!);
    expect([one.verdict, two.verdict]).toEqual(["differs", "within-scatter"]);
  });

  it("two boards have two supply sensors, even under one chip", () => {
    const supplied = (name: string, temps: readonly number[]) =>
      build(
        name,
        temps.map((supplyTempC, n) => run({ id: `${name}${n}`, mountId: `${name}${n}`, supplyTempC })),
      );
    const rowOf = (sameSupplySensor: boolean) =>
      sameSettingRows(
        asked({
          a: supplied("Frame", [60.1, 60.4, 59.8]),
          b: supplied("Cupboard", [61.6, 61.9, 61.5]),
          assumptions: { ...usualAssumptions, sameSupplySensor },
        }),
      ).find((row) => row.measure === "supplyRise")!;
    expect([rowOf(true).verdict, rowOf(false).verdict]).toEqual(["differs", "within-scatter"]);
  });

  it("power is compared only as read at the same place, scores in a list of their own", () => {
    const powered = (name: string, powerAt: "wall" | "chip" | null, watts: number[]) =>
      build(
        name,
        watts.map((powerW, n) =>
          run({ id: `${name}${n}`, mountId: name, powerW, powerAt, score: powerW * 10 }),
        ),
      );
    const a = powered("Frame", "wall", [200.1, 201.3, 200.6]);
    expect(
      sameSettingRows(asked({ a, b: powered("Cupboard", "chip", [150.2, 151.7]) })).map((r) => r.measure),
    ).not.toContain("power");
    const b = powered("Cupboard", "wall", [210.4, 211.2, 210.7]);
    const power = sameSettingRows(asked({ a, b })).find((row) => row.measure === "power");
    expect(power).toMatchObject({ verdict: "differs", runs: [3, 3], notes: ["As read at the wall."] });
    const notesOf = (places: readonly ("chip" | null)[]) => {
      const [one, other] = places.map((place, n) => powered(`Rig ${n}`, place, [150.2, 151.7]));
      return sameSettingRows(asked({ a: one!, b: other! })).find((row) => row.measure === "power")?.notes;
    };
    expect(notesOf(["chip", null])).toEqual(["As read at the chip, or not said where."]);
    expect(notesOf([null, null])).toEqual(["Not said where it was read, and taken to be at the chip."]);
    expect(sameSettingScores(asked({ a, b }))[0]).toMatchObject({ measure: "score", verdict: "differs" });
  });

  it("power that moves with the mount is judged by mounts, not by runs", () => {
    const byMounts = (name: string, watts: readonly number[]) =>
      build(
        name,
        watts.flatMap((around, mount) =>
          [-0.1, 0, 0.1].map((off) =>
            run({ id: `${name}${mount}${off}`, mountId: `${name}${mount}`, powerW: around + off }),
          ),
        ),
      );
    const rowOf = (a: readonly number[], b: readonly number[]) =>
      sameSettingRows(asked({ a: byMounts("Frame", a), b: byMounts("Cupboard", b) })).find(
        (row) => row.measure === "power",
      )!;
    const moving = rowOf([200, 204, 202], [203, 207, 204]);
    expect(moving).toMatchObject({ verdict: "within-scatter", runs: [9, 9], mounts: [3, 3] });
    expect(moving.notes.join(" ")).toContain("each mount counts once");
    expect(rowOf([200, 200.1, 200], [203, 203.1, 203]).verdict).toBe("differs");
  });

  it("builds that scatter too differently are not pooled, and the budget says so", () => {
    const [a, b] = [mounted("Frame", [78, 82]), mounted("Cupboard", [81.1, 81.2, 81.3, 81.2, 81.1, 81.3])];
    const [row] = sameSettingRows(asked({ a, b }));
    const line = row!.budget.find(({ source }) => source === "mount to mount")!;
    expect(line.from).toContain("too differently to be pooled");
    expect(line.a).toBeCloseTo(Math.sqrt(8 / 2), 6);
    expect(line.degreesOfFreedom).toBeCloseTo(1, 2);
    expect(row!.verdict).toBe("within-scatter");
  });

  it("scatter is taken only from runs that are like those compared", () => {
    const [a, b] = [mounted("Frame", [80]), mounted("Cupboard", [86])];
    const spoiled = build("Shelf", [
      run({ id: "1", mountId: "s1", loadTempC: 77 }),
      run({ id: "2", mountId: "s2", loadTempC: 40, durationS: 20 }),
      run({ id: "3", mountId: "s3", loadTempC: 99, throttled: true }),
      run({ id: "4", mountId: "s4", loadTempC: 50, outcome: "freeze" }),
    ]);
    expect(sameSettingRows(asked({ a, b, others: [spoiled] }))[0]).toMatchObject({ verdict: "not-enough" });
  });

  it("swapping the builds turns every difference round", () => {
    const [a, b] = [mounted("Frame", [80, 80.7, 79.5]), mounted("Cupboard", [84, 84.9, 83.1])];
    const there = sameSettingRows(asked({ a, b }))[0]!;
    const back = sameSettingRows(asked({ a: b, b: a }))[0]!;
    expect(back.difference).toBeCloseTo(-there.difference, 9);
    expect(back.low).toBeCloseTo(-there.high!, 5);
    expect(back.verdict).toBe(there.verdict);
  });
});

describe("what the verdicts promise, over simulated bench days", () => {
  const days = 1000;
  const rows = (differenceC: number, mounts: number, runsPerMount: number, seed: number) => {
    const random = seededRandom(seed);
    return Array.from({ length: days }, () => {
      const day = { riseC: 60, mounts, runsPerMount, mountC: runsPerMount === 1 ? 0.8 : 0.7, runC: 0.4 };
      const still = runsPerMount === 1 ? { ...day, runC: 0 } : day;
      const a = simulatedBuild("Frame", still, random);
      const b = simulatedBuild("Cupboard", { ...still, riseC: still.riseC + differenceC }, random);
      return sameSettingRows(asked({ a, b }))[0]!;
    });
  };
  const share = (found: ReturnType<typeof rows>, holds: (row: (typeof found)[number]) => boolean) =>
    found.filter(holds).length / found.length;

  it.each([
    [2, 1, 21],
    [3, 1, 22],
    [3, 3, 23],
  ])("identical builds with %d mounts of %d runs differ on at most 6 % of days", (mounts, runs, seed) => {
    const found = share(rows(0, mounts, runs, seed), (row) => row.verdict === "differs");
    expect(found).toBeLessThanOrEqual(0.06);
  });

  it.each([
    [1, 31],
    [3, 32],
  ])(
    "3 °C at a repeatability of 0.8 °C is found with three mounts of %d runs on at least 80 % of days",
    (runs, seed) => {
      expect(share(rows(3, 3, runs, seed), (row) => row.verdict === "differs")).toBeGreaterThanOrEqual(0.8);
    },
  );

  it.each([
    [0, 2, 41],
    [3, 3, 42],
    [1.5, 5, 43],
  ])(
    "intervals around %d °C from %d mounts each cover the truth on 93 to 98 % of days",
    (differenceC, mounts, seed) => {
      const found = share(
        rows(differenceC, mounts, 1, seed),
        (row) => row.low! <= differenceC && row.high! >= differenceC,
      );
      expect(found).toBeGreaterThanOrEqual(0.93);
      expect(found).toBeLessThanOrEqual(0.98);
    },
  );
});
