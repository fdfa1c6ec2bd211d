import { describe, expect, it } from "vitest";
import { bestSettingOf } from "../../../server/bench/best/bestSetting.ts";
import { clockDifferenceOf } from "../../../server/bench/limit/clockDifference.ts";
import { limitAnswerOf } from "../../../server/bench/limit/limitCurve.ts";
import { limitFitOf } from "../../../server/bench/limit/limitFit.ts";
import { limitDrawsOf } from "../../../server/bench/limit/limitReach.ts";
import { nextAttemptOf } from "../../../server/bench/next/nextAttempt.ts";
import { evidenceRow, testChip, testWorkload } from "../../support/evidenceRows.ts";

const heavy = testWorkload("heavy", { severity: 9 });
const light = testWorkload("light", { severity: 1 });

/** Held up to a clock and failing just above it, under one load. */
const upTo = (workloadId: string, limitMhz: number) => [
  ...[-100, -50, -25, 0].map((off) =>
    evidenceRow({ workloadId, clockMhz: limitMhz + off, durationS: 7200, loadTempC: 75 }),
  ),
  ...[25, 50, 75].map((off) =>
    evidenceRow({
      ...{ workloadId, clockMhz: limitMhz + off, durationS: 300, outcome: "freeze", loadTempC: 75 },
    }),
  ),
];

/** The lighter load goes 150 MHz further up. */
const rows = [...upTo("heavy", 5000), ...upTo("light", 5150)];
const context = { chip: testChip(), hottestAmbientC: 30, rows, workloads: [heavy, light], seed: 1 };
const asked = { heavy: "heavy", light: "light", none: null, "a load that never ran": "memory" } as const;

/** How many MHz further up an answer lies where the lighter load is asked about than where the heavier one is. */
const furtherUp = (clockUnder: (workloadId: string) => number): number =>
  clockUnder("light") - clockUnder("heavy");
const isLightersPlace = (apartMhz: number): void => {
  expect(apartMhz).toBeGreaterThan(90);
  expect(apartMhz).toBeLessThan(210);
};

describe("the load that is asked about", () => {
  it("moves every draw of the limit, which is that of the heaviest where none is named or the load never ran", () => {
    const fit = limitFitOf(context)!;
    const middle = (workloadId: string | null): number => {
      const { logLimit, weights } = limitDrawsOf(fit, fit.draws, workloadId);
      return Math.exp(logLimit.reduce((sum, value, k) => sum + weights[k]! * value, 0));
    };
    isLightersPlace(middle(asked.light) - middle(asked.heavy));
    expect(middle(asked.none)).toBe(middle(asked.heavy));
    expect(middle(asked["a load that never ran"])).toBe(middle(asked.heavy));
  });

  it("is the one whose curve is drawn, and whose voltage is told for a clock", () => {
    const answers = new Map(
      ["light", "heavy"].map((workloadId) => [
        workloadId,
        limitAnswerOf({ ...context, workloadId, targetMhz: 5075 }) as never,
      ]),
    );
    // biome-ignore lint/suspicious/noExplicitAny: either answer is fitted, as its curve shows
    const of = (workloadId: string): any => answers.get(workloadId);
    isLightersPlace(
      furtherUp((id) => of(id).curve.find((at: { voltageMv: number }) => at.voltageMv === 1250).limitMhz),
    );
    expect(of("light").voltageFor.mv).toBeLessThan(of("heavy").voltageFor.mv - 10);
  });

  it("is the one whose next attempt is proposed, and whose best setting is told", () => {
    isLightersPlace(
      furtherUp((workloadId) => {
        const next = nextAttemptOf({ ...context, workloadId, voltageMv: 1250 });
        return "settled" in next && "clockMhz" in next.settled
          ? next.settled.clockMhz
          : (next as { clockMhz: number }).clockMhz;
      }),
    );
    isLightersPlace(
      furtherUp(
        (workloadId) =>
          bestSettingOf({ ...context, workloadId, goal: "clock", use: "benchmark" }).setting!.clockMhz,
      ),
    );
  });

  it("is the one under which two chips are compared, also where one of them ran nothing else", () => {
    const apart = (workloadId: string | null) =>
      clockDifferenceOf({
        a: { chip: testChip(), rows },
        b: { chip: testChip({ id: "chip-2" }), rows: upTo("light", 5150) },
        ...{ workloads: [heavy, light], workloadId, seed: 1 },
      })!.differenceMhz;
    expect(Math.abs(apart("light"))).toBeLessThan(30);
    isLightersPlace(apart(null));
  });
});
