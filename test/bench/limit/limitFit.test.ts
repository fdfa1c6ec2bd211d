import { describe, expect, it } from "vitest";
import { bestSettingOf } from "../../../server/bench/best/bestSetting.ts";
import { limitAnswerOf } from "../../../server/bench/limit/limitCurve.ts";
import { limitFitOf, limitGroundsOf, startsOf } from "../../../server/bench/limit/limitFit.ts";
import { nextAttemptOf } from "../../../server/bench/next/nextAttempt.ts";
import { seededRandom } from "../../../server/numerics/seededRandom.ts";
import { evidenceRow, testChip, testWorkload } from "../../support/evidenceRows.ts";
import { ranOn, simulatedChip, trueClockAt } from "../../support/simulatedChip.ts";

const random = seededRandom(91);
const chip = simulatedChip("mixed", random);
const rows = Array.from({ length: 20 }, () => {
  const clockMhz = 25 * Math.round((trueClockAt(chip, 1250, 1 / 569) + 50 * random.normal()) / 25);
  return ranOn(chip, { clockMhz, voltageMv: 1250, minutes: 20 }, random).row;
});
const context = (seed: number) => ({
  chip: testChip(),
  hottestAmbientC: 30,
  rows: structuredClone(rows),
  workloads: [testWorkload("all-core")],
  seed,
});
const forget = () => [1001, 1002, 1003].map((seed) => limitFitOf(context(seed)));

describe("limitFitOf", () => {
  it("gives the same fit to every question about one record, and another to another", () => {
    const first = limitFitOf(context(1));
    expect(limitFitOf(context(1))).toBe(first);
    expect(limitFitOf(context(2))).not.toBe(first);
    expect(limitFitOf({ ...context(1), rows: rows.slice(1) })).not.toBe(first);
    forget();
    expect(limitFitOf(context(1))).not.toBe(first);
  });

  it("begins with the limit at or above each pass of some minutes, be it the only one, and looks under the crashes too", () => {
    const withPass = (durationS: number) => {
      const crashes = [4900, 4950, 5000].map((clockMhz) =>
        evidenceRow({ clockMhz, outcome: "freeze", durationS: 120, loadTempC: 70 }),
      );
      const pass = evidenceRow({ clockMhz: 4875, durationS, loadTempC: 70 });
      const { model } = limitFitOf({ ...context(1), rows: [pass, ...crashes] })!;
      const starts = startsOf(model);
      const above = model.records.map((record, i) =>
        starts.map((at) => model.logLimitAt(i, at) - Math.log(record.clockMhz)),
      );
      return { records: model.records, starts, above };
    };
    const long = withPass(3600);
    const held = long.above[long.records.findIndex(({ failed }) => !failed)]!;
    for (const margin of held.slice(0, -1)) {
      expect(margin).toBeGreaterThanOrEqual(0);
      expect(margin).toBeLessThan(0.01);
    }
    const failed = long.above.filter((_, i) => long.records[i]!.failed).map((margins) => margins.at(-1)!);
    for (const margin of failed) expect(margin).toBeLessThan(0);
    for (const start of withPass(60).starts) expect(Array.from(start).every(Number.isFinite)).toBe(true);
  });

  it("is left as it was by each of its questions", () => {
    const questions = [
      () => limitAnswerOf({ ...context(7), targetMhz: 4600 }),
      () => nextAttemptOf({ ...context(7), voltageMv: 1250 }),
      () => nextAttemptOf({ ...context(7), voltagesMv: [1200, 1250, 1300] }),
      () =>
        bestSettingOf({
          ...context(7),
          goal: "clock",
          use: "benchmark",
          workloadId: null,
          scores: [],
          held: [],
        }),
    ] as const;
    const alone = questions.map((ask) => {
      forget();
      return ask();
    });
    forget();
    expect(questions.map((ask) => ask())).toEqual(alone);
    expect(questions.toReversed().map((ask) => ask())).toEqual(alone.toReversed());
  });

  it("takes what other builds had placed by readings with their heat, each by a droop of its own, the newest thirty", () => {
    const placed = (count: number) =>
      Array.from({ length: count }, (_, i) => ({
        row: evidenceRow({ clockMhz: 4700 + i, loadTempC: 70, ambientC: 20 }),
        ...{ readDeviationMv: 3, droopDeviationMv: 4, droop: "all-core" },
      }));
    const [own, theirs] = [placed(2), placed(31)];
    const otherBuilds = [
      { name: "Shelf", rows: rows.slice(0, 3) },
      { name: "Frame", rows: rows.slice(0, 2), placed: theirs },
    ];
    const { records } = limitGroundsOf({ ...context(1), placed: own, otherBuilds })!;
    const standing = records.flatMap(({ attemptIds: [id], build, placing }) =>
      placing === null ? [] : [{ id, build, droop: placing.droop }],
    );
    expect(standing).toEqual([
      ...own.map(({ row: { id } }) => ({ id, build: 0, droop: 0 })),
      ...theirs.slice(1).map(({ row: { id } }) => ({ id, build: 2, droop: 1 })),
    ]);
  });
});
