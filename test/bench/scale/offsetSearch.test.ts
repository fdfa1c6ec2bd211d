import { describe, expect, it } from "vitest";
import { type OffsetAnswer, offsetAnswerOf } from "../../../server/bench/scale/offsetAnswer.ts";
import {
  type OffsetNext,
  type OffsetProposal,
  offsetNextOf,
} from "../../../server/bench/scale/offsetNext.ts";
import type { OffsetSearch } from "../../../server/bench/scale/offsetSearch.ts";
import { scaleAsClock, scaleOfKnob, scaleOfOffset } from "../../../server/bench/scale/scale.ts";
import { standardRule } from "../../../server/bench/things/rule.ts";
import { seededRandom } from "../../../server/numerics/seededRandom.ts";
import { curvePart } from "../../support/curvePart.ts";
import { evidenceRow, testChip, testWorkload } from "../../support/evidenceRows.ts";

const axis = {
  name: "curve",
  unit: "mV",
  step: 10,
  harder: "down",
  low: null,
  high: null,
  countIsAboutMv: null,
} as const;
const chip = testChip({
  ...{ axis: "offset", offset: axis, stockClockMhz: 4850, stockVoltageMv: 1250 },
  parts: [
    { name: "core 1", kernel: null },
    { name: "core 2", kernel: null },
  ],
});
const search = (rows: OffsetSearch["rows"], more: Partial<OffsetSearch> = {}): OffsetSearch => ({
  ...{ chip, rows, hottestAmbientC: 30, use: "benchmark" },
  workloads: [testWorkload("all-core"), testWorkload("idle", { kind: "idle" })],
  requires: standardRule.requires,
  ...more,
});
const isProposal = (next: OffsetNext): next is OffsetProposal => "durationS" in next;

describe("a scale laid out as clocks", () => {
  it("has level and clock stand for one another exactly, step by step", () => {
    for (const scale of [
      scaleOfOffset({ offset: axis, stockClockMhz: 4850, stockVoltageMv: 1237.5 }),
      scaleOfOffset({
        offset: { ...axis, unit: "MHz", step: 15, harder: "up" },
        stockClockMhz: 2490,
        stockVoltageMv: null,
      }),
      scaleOfOffset({
        offset: { ...axis, unit: "counts", step: 1 },
        stockClockMhz: null,
        stockVoltageMv: null,
      }),
      scaleOfKnob({ name: "delay", unit: "", step: 2, harder: "down", usual: 38, ceiling: null }),
    ]) {
      const { partsAt, levelAt, stockParts, stepParts } = scaleAsClock(scale);
      const sign = scale.harder === "up" ? 1 : -1;
      for (let step = -20; step <= 60; step++) {
        const level = scale.usual + sign * step * scale.step;
        expect(levelAt(partsAt(level))).toBe(level + 0);
        expect(partsAt(level)).toBeCloseTo(stockParts + step * stepParts, 9);
      }
    }
  });

  it("knows what a step is worth from the stock point", () => {
    const share = (offset: object) =>
      scaleOfOffset({ offset: { ...axis, ...offset }, stockClockMhz: 2500, stockVoltageMv: 1200 })
        .shareOfStep;
    expect(share({ unit: "MHz", step: 15, harder: "up" })).toBeCloseTo(0.006, 9);
    expect(share({ step: 10 })).toBeCloseTo(0.005, 9);
    expect(share({ unit: "counts", step: 1, countIsAboutMv: 5 })).toBeCloseTo(0.0025, 9);
  });
});

describe("a card on which little ran, and that heat keeps from going harder", () => {
  const card = testChip({
    ...{ kind: "gpu", axis: "offset", parts: [], tempLimitC: 88, stockClockMhz: null, stockVoltageMv: null },
    offset: { ...axis, unit: "MHz", step: 15, harder: "up" },
  });
  const passed = (offset: number, durationS: number, loadTempC: number) => ({
    ...evidenceRow({ offset, durationS, loadTempC, ambientC: 23, outcome: "pass" }),
    ...{ clockMhz: null, voltageMv: null },
  });

  it("is run once more before it is called known, and then has an answer", () => {
    const rows = [passed(60, 900, 68), passed(120, 300, 70)];
    const asked = (): OffsetSearch => search(rows, { chip: card });
    expect(offsetAnswerOf(asked())).toMatchObject({ state: "too-little", offset: null });
    const next = offsetNextOf(asked()) as OffsetProposal;
    expect(next).toMatchObject({ purpose: "prove", durationS: 600 });
    expect(next.because).toContain("an answer rests on three attempts at least");
    rows.push(passed(next.offset as number, 600, 67));
    expect((offsetAnswerOf(asked()) as OffsetAnswer).offset).not.toBeNull();
  });
});

describe("a build on which nothing ran", () => {
  const begin = { workloadId: "all-core", durationS: 1800 };
  const first = (offset: object) => {
    const next = offsetNextOf(
      search([], { begin, chip: testChip({ axis: "offset", offset: { ...axis, ...offset } }) }),
    );
    return isProposal(next) ? next.offset : null;
  };

  it("begins with the chip as it comes, or as near to it as can be set", () => {
    expect(offsetNextOf(search([], { begin }))).toMatchObject({
      ...{ part: null, offset: 0, offsets: null },
      ...begin,
      chanceOfPass: null,
    });
    expect(first({})).toBe(0);
    expect(first({ low: 20, high: 200 })).toBe(20);
    expect(first({ low: -200, high: -10 })).toBe(-10);
    expect(first({ low: -200, high: 50 })).toBe(0);
  });
});

describe("an offset that failed once beyond long passes", () => {
  it("is not gone beyond until it has passed for ten minutes, and says so", () => {
    const whole = testChip({ ...{ axis: "offset", offset: { ...axis, step: 5 } }, stockVoltageMv: 1250 });
    const run = (offset: number, outcome: "pass" | "freeze", minutes: number) => ({
      ...evidenceRow({ id: `${offset} ${minutes}`, outcome, durationS: 60 * minutes, loadTempC: 60 }),
      ...{ clockMhz: null, voltageMv: null, offset, offsets: null, part: null },
    });
    const next = (rows: OffsetSearch["rows"]) => offsetNextOf(search(rows, { chip: whole }));
    const rows = [run(-30, "pass", 240), run(-30, "pass", 480), run(-35, "freeze", 15)];
    const careful = next(rows);
    if (!isProposal(careful)) throw new Error(careful.because);
    expect(careful.offset).toBeGreaterThanOrEqual(-35);
    expect(careful.blocked.join()).toContain("−35 mV: froze after 15 min, which nothing else bears out.");
    const bold = next([...rows, run(-35, "pass", 20)]);
    expect(isProposal(bold) && bold.offset).toBeLessThan(-35);
  });
});

describe("a part that was tried alone under one load, and with all others under another", () => {
  it("is asked about under the load that it had alone", () => {
    const loads = [
      testWorkload("alone", { kind: "single-core" }),
      testWorkload("all-core"),
      testWorkload("idle", { kind: "idle" }),
    ];
    const alone = (offset: number, outcome: string, durationS: number, workloadId = "alone") =>
      evidenceRow({
        ...{ clockMhz: null, voltageMv: null, part: "core 1", offset, workloadId },
        outcome,
        durationS,
      } as never);
    const list = { "core 1": -30, "core 2": -30 };
    const together = evidenceRow({
      ...{ clockMhz: null, voltageMv: null, offsets: list, workloadId: "all-core", outcome: "pass" },
      durationS: 14_400,
    } as never);
    const rows = [
      ...[-20, -30, -40].map((offset) => alone(offset, "pass", 300)),
      alone(-60, "freeze", 40),
      alone(-50, "freeze", 200),
      alone(-30, "pass", 3600),
      together,
      alone(0, "pass", 3600, "idle"),
    ];
    const next = offsetNextOf(search(rows, { workloads: loads, part: "core 1" }));
    expect(isProposal(next) && next.workloadId).toBe("alone");
    const offset = isProposal(next) ? (next.offsets?.["core 1"] ?? 0) : 0;
    expect(offset).toBeGreaterThan(-50);
  });
});

describe("an answer by offset", () => {
  const whole = testChip({
    ...{ axis: "offset", offset: { ...axis, step: 5 }, stockClockMhz: 4850, stockVoltageMv: 1250 },
  });
  const ran = (offset: number, outcome: "pass" | "freeze", durationS: number) => ({
    ...evidenceRow({ offset, outcome, durationS }),
    ...{ clockMhz: null, voltageMv: null },
  });
  const answerOf = (...rows: OffsetSearch["rows"][number][]) =>
    offsetAnswerOf(search(rows, { chip: whole })) as OffsetAnswer;

  it("is no setting easier than the chip came with, unless the chip failed as it came", () => {
    const few = [ran(-35, "pass", 1200), ran(-40, "freeze", 900), ran(-40, "freeze", 600)];
    expect(answerOf(...few)).toMatchObject({
      ...{ state: "looking", offset: null, parts: [{ setting: null, worthTrying: null }] },
      because: ["Nothing that ran is likely enough to hold yet here."],
    });
    const soft = [
      ran(0, "freeze", 900),
      ran(0, "freeze", 1800),
      ran(20, "pass", 3600),
      ran(25, "pass", 28_800),
    ];
    expect(answerOf(...soft).offset).toBeGreaterThan(0);
  });
});

describe("a search by offset, part by part", () => {
  const parts = ["core 1", "core 2"].map((name, i) => ({
    name,
    truth: curvePart("undervolt", i, seededRandom(77 + i), 12),
  }));
  const random = seededRandom(7);
  const rows: OffsetSearch["rows"][number][] = [];
  const asked: OffsetProposal[] = [];
  const settled = (() => {
    for (let turn = 1; turn <= 60; turn++) {
      const next = offsetNextOf(search(rows, { seed: turn }));
      if (!isProposal(next)) return next;
      asked.push(next);
      const minutes = next.durationS / 60;
      const under = parts.filter(({ name }) => next.part === null || next.part === name);
      const ran = under.map(
        ({ name, truth }) => truth.ran(next.offsets?.[name] ?? 0, minutes, random).at.row,
      );
      const row = ran.find(({ outcome }) => outcome !== "pass") ?? ran[0]!;
      rows.push({ ...row, offsets: next.offsets, part: next.part });
    }
    return null;
  })();

  it("ends, one part after the other, with a run of all at the list", () => {
    expect(settled).toMatchObject({ settled: { offset: null, provedTogether: true } });
    const order = asked.map(({ part }) => part);
    expect(order.at(-1)).toBeNull();
    expect(new Set(order.slice(0, order.indexOf("core 2")))).toEqual(new Set(["core 1"]));
    expect(asked.at(-1)?.because).toMatch(
      /whether they hold together only a run of all says: core 1 −\d+ mV/,
    );
    expect(asked[0]?.because).toMatch(/curve (−\d+ mV|0 mV)/);
  });

  it("tells of one part asked about where that is settled, and of no part by another name", () => {
    const alone = offsetNextOf(search(rows, { part: "core 1" }));
    const { offsets } = offsetAnswerOf(search(rows)) as OffsetAnswer;
    expect(alone).toMatchObject({
      settled: { offset: offsets?.["core 1"], offsets: null, provedTogether: null },
    });
    expect(offsetNextOf(search(rows, { part: "core 9" }))).toEqual({
      ...{ state: "too-little", because: "The chip has no part of that name." },
      needs: "Name one of its parts.",
    });
  });

  it("names levels on the grid, none as hard as a failure of that part", () => {
    const failedAt = new Map<string, number>();
    asked.forEach(({ part, offsets }, i) => {
      if (part === null) return;
      const level = offsets?.[part] as number;
      expect(Math.abs(level % axis.step)).toBe(0);
      expect(level).toBeGreaterThan(failedAt.get(part) ?? Number.NEGATIVE_INFINITY);
      if (rows[i]?.outcome !== "pass") failedAt.set(part, Math.max(level, failedAt.get(part) ?? level));
    });
    expect(failedAt.size).toBe(2);
  });

  it("answers what ran, with its chance, and says until then that it was found one at a time", () => {
    const answer = offsetAnswerOf(search(rows)) as OffsetAnswer;
    expect(answer).toMatchObject({ state: "done", provedTogether: true, unit: "mV" });
    const before = offsetAnswerOf(search(rows.filter(({ part }) => part !== null))) as OffsetAnswer;
    expect(before).toMatchObject({ state: "enough", provedTogether: false });
    expect(before.because[0]).toMatch(/^Found one at a time, not proved together/);
    for (const { setting } of answer.parts) {
      expect(setting?.chance).toBeGreaterThanOrEqual(0.95);
      expect(setting?.ranS).toBeGreaterThanOrEqual(600);
    }
  });

  it("goes back with every part where all failed together, and names no list as hard again", () => {
    const alone = rows.filter(({ part }) => part !== null);
    const { offsets } = offsetAnswerOf(search(alone)) as OffsetAnswer;
    const failed = { ...evidenceRow({ outcome: "freeze", durationS: 5000 }), offsets };
    const after = search([...alone, failed]);
    const eased = Object.entries(offsets ?? {}).map(([part, level]) => [part, level + axis.step]);
    expect(offsetAnswerOf(after)).toMatchObject({
      offsets: Object.fromEntries(eased),
      provedTogether: false,
      because: [expect.stringMatching(/^All together failed/), expect.stringMatching(/^Found one at a time/)],
    });
    const next = offsetNextOf(after) as OffsetProposal;
    if (next.part === null) expect(next.offsets).toEqual(Object.fromEntries(eased));
  });

  it.each([1, 0.1, 0.9])(
    "goes back as far as it takes and no further, however small the steps are (%d)",
    (step) => {
      const fine = { ...axis, unit: "MHz", step, harder: "up" } as const;
      const under = (level: number, more: object) => ({ ...evidenceRow(more), level: level * step });
      const alone = ["core 1", "core 2"].flatMap((part) =>
        [
          ...[280, 290, 300, 300].map((level) => under(level, { durationS: 7200 })),
          ...[320, 330].map((level) => under(level, { outcome: "freeze", durationS: 60 })),
        ].map(({ level, ...row }) => ({ ...row, part, offsets: { [part]: level } })),
      );
      const answerOf = (more: OffsetSearch["rows"]) =>
        offsetAnswerOf(search([...alone, ...more], { chip: { ...chip, offset: fine } })) as OffsetAnswer;
      const { "core 1": first, "core 2": second } = answerOf([]).offsets as Record<string, number>;
      const failed = { ...evidenceRow({ outcome: "freeze", durationS: 900 }) };
      const together = answerOf([{ ...failed, offsets: { "core 1": 4 * step, "core 2": 2 * step } }]);
      const stepsBack = Math.round(first! / step) - 3;
      expect(stepsBack).toBeGreaterThan(200);
      expect(together.offsets).toEqual({
        "core 1": Math.round(3000 * step) / 1000,
        "core 2": Math.round(1000 * (second! - stepsBack * step)) / 1000,
      });
    },
  );

  it("takes a failure at idle for the end of every harder level", () => {
    const { offsets } = offsetAnswerOf(search(rows)) as OffsetAnswer;
    const level = (offsets?.["core 1"] as number) + axis.step;
    const idle = {
      ...evidenceRow({ workloadId: "idle", outcome: "freeze", durationS: 7200 }),
      ...{ part: "core 1", offsets: { "core 1": level } },
    };
    const eased = {
      ...evidenceRow({ durationS: 3600 }),
      ...{ part: "core 1", offsets: { "core 1": level + axis.step } },
    };
    const answer = (...more: typeof rows) =>
      (offsetAnswerOf(search([...rows, eased, ...more])) as OffsetAnswer).parts;
    const [before, after] = [answer(), answer(idle)];
    expect(before[0]?.setting?.level).toBeLessThan(level);
    expect(after[0]?.setting?.level).toBe(level + axis.step);
    expect(after[1]?.setting?.level).toBe(before[1]?.setting?.level);
  });
});
