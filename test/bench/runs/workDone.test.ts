import { describe, expect, it } from "vitest";
import { type ScoredAttempt, workDoneOf } from "../../../server/bench/runs/workDone.ts";

const byClock = { axis: "clock", offset: null, stockClockMhz: 4000 } as const;
const run = (id: string, clockMhz: number, score: number | null, more: Partial<ScoredAttempt> = {}) =>
  ({
    ...{ id, workloadId: "render", outcome: "pass", score, clockMhz, voltageMv: 1200, setAside: null },
    ...{ offset: null, offsets: null, part: null, knobs: null, throttled: null },
    ...more,
  }) satisfies ScoredAttempt as ScoredAttempt;

const higher = { scoreBetter: "higher" } as const;
const easier = [run("a", 4500, 900), run("b", 4525, 905.5), run("c", 4550, 910)];
const told = (own: ScoredAttempt, others = easier, better: "higher" | "lower" | null = "higher") =>
  workDoneOf(own, [...others, own], byClock, { scoreBetter: better });

describe("workDoneOf(own, runs, chip, workload)", () => {
  it("calls a pass slower that did less work than all easier passes near it, by 2 % a MHz or more", () => {
    expect(told(run("own", 4600, 895))).toMatchObject({ easier: 3, isSlower: true });
    expect(told(run("own", 4600, 895))?.underShare).toBeCloseTo(1 - 895 / 4600 / 0.2, 3);
    expect(told(run("own", 4600, 919))).toMatchObject({ isSlower: false });
    expect(told(run("own", 4600, 902))).toMatchObject({ isSlower: false });
    const near = [run("a", 4590, 900), run("b", 4595, 900)];
    expect(told(run("own", 4600, 890), near)).toMatchObject({ isSlower: false });
    expect(told(run("own", 4600, 880), near)).toMatchObject({ isSlower: true });
  });

  it("does not blame a load that gains nothing by the clock", () => {
    const memoryBound = [run("a", 4480, 900), run("b", 4500, 900)];
    expect(told(run("own", 4600, 900), memoryBound)).toMatchObject({ isSlower: false });
  });

  it("reads a score of which less is better the other way round", () => {
    const seconds = [run("a", 4500, 100), run("b", 4550, 99)];
    expect(told(run("own", 4600, 104), seconds, "lower")).toMatchObject({ isSlower: true });
    expect(told(run("own", 4600, 98), seconds, "lower")).toMatchObject({ isSlower: false });
  });

  it("compares along an offset: by the clock it moves, or where it moves none by the score alone", () => {
    const offset = { name: "Clock offset", unit: "MHz", step: 15, harder: "up" } as never;
    const card = { axis: "offset", offset, stockClockMhz: 2490 } as const;
    const at = (id: string, level: number, score: number) =>
      run(id, 0, score, { clockMhz: null, voltageMv: null, offset: level });
    const runs = [at("a", 60, 30.9), at("b", 75, 31)];
    expect(workDoneOf(at("own", 120, 30), runs, card, { scoreBetter: "higher" })).toMatchObject({
      isSlower: true,
    });
    expect(workDoneOf(at("own", 120, 31.5), runs, card, { scoreBetter: "higher" })).toMatchObject({
      isSlower: false,
    });
    const undervolt = { ...card, offset: { ...(offset as object), unit: "mV", harder: "down" } as never };
    const less = [at("a", -40, 900), at("b", -60, 902)];
    expect(workDoneOf(at("own", -80, 870), less, undervolt, { scoreBetter: null })).toMatchObject({
      isSlower: true,
    });
    expect(workDoneOf(at("own", -20, 870), less, undervolt, { scoreBetter: null })).toBeUndefined();
  });

  it("takes no pass at its own setting for an easier one, nor one of another part", () => {
    const own = run("own", 4600, 895);
    const [alike, further] = [run("a", 4600, 920), run("b", 4575, 915)];
    expect(told(own, [alike, further])).toBeUndefined();
    expect(told(own, [run("a", 4600, 920, { voltageMv: 1212.5 }), further])).toMatchObject({ easier: 2 });
    const ofParts = (part: string | null) => easier.map((one) => ({ ...one, part }));
    expect(told({ ...own, part: "core 3" }, ofParts("core 3"))).toMatchObject({ easier: 3 });
    expect(told({ ...own, part: "core 3" }, ofParts("core 4"))).toBeUndefined();
    expect(told({ ...own, part: "core 3" }, ofParts(null))).toBeUndefined();
  });

  it("counts the work by the clock that an offset makes of the stock clock", () => {
    const offset = { name: "Clock offset", unit: "MHz", step: 15, harder: "up" } as never;
    const at = (id: string, level: number, score: number) =>
      run(id, 0, score, { clockMhz: null, voltageMv: null, offset: level });
    const runs = [at("a", 0, 249), at("b", 10, 250)];
    const found = workDoneOf(
      at("own", 70, 248),
      runs,
      { axis: "offset", offset, stockClockMhz: 2490 },
      higher,
    );
    expect(found).toMatchObject({ easier: 2, isSlower: true });
    expect(found?.underShare).toBeCloseTo(1 - 248 / 2560 / 0.1, 6);
  });

  it("has nothing to say without two easier passes like it: scored, near, under the same load and knobs", () => {
    const own = run("own", 4600, 800);
    expect(told(own, easier.slice(0, 1))).toBeUndefined();
    expect(told(run("own", 4600, null))).toBeUndefined();
    expect(told(run("own", 4600, 800, { outcome: "freeze" }))).toBeUndefined();
    for (const other of [
      { workloadId: "other" },
      { throttled: true },
      { outcome: "stopped" as const },
      { knobs: { fabric: 2000 } },
      { clockMhz: 4300 },
      { clockMhz: 4650 },
      { voltageMv: 1150 },
      { setAside: { reason: "a cable", at: "2031-05-04T10:00:00.000Z" } },
    ])
      expect(
        told(
          own,
          easier.map((one) => ({ ...one, ...other })),
        ),
        JSON.stringify(other),
      ).toBeUndefined();
  });
});
