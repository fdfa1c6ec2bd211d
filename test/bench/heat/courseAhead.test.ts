import { describe, expect, it } from "vitest";
import { courseAhead } from "../../../server/bench/heat/courseAhead.ts";
import { heatRunOf } from "../../../server/bench/heat/heatRun.ts";
import type { HeatTrace } from "../../../server/bench/heat/heatTrace.ts";
import { type HeatKind, kindRun, setClockMhz } from "../../support/heatKinds.ts";
import { levelled } from "../../support/levelledRun.ts";

/** A run read after so many seconds of load, of one that goes on for a quarter of an hour more. */
function readAfter(kind: HeatKind, underS: number, seed: number) {
  const whole = kindRun(kind, underS + 900, seed);
  const rows = whole.loadStartS + underS;
  const trace = Object.fromEntries(
    Object.entries(whole.trace).map(([name, values]) => [name, Array.from(values ?? []).slice(0, rows)]),
  ) as unknown as HeatTrace;
  return { whole, run: heatRunOf(trace, { setClockMhz, tempLimitC: 95 }) };
}

describe("courseAhead", () => {
  it("begins where the readings end and goes to the end that is forecast, the band with it", () => {
    const { run } = readAfter("plain", 600, 41_000);
    const course = courseAhead(run)!;
    const [first, last] = [course[0]!, course.at(-1)!];
    expect(first.s).toBe(run.load!.toS);
    expect(last.s - first.s).toBeGreaterThanOrEqual(300);
    expect(first.midC).toBeCloseTo(run.final!.c - run.remainderC!, 6);
    expect(Math.abs(last.midC - run.final!.c)).toBeLessThan(0.5);
    expect(last.highC - last.lowC).toBeLessThanOrEqual(run.final!.highC - run.final!.lowC + 1e-9);
    for (const { lowC, midC, highC } of course) expect(lowC <= midC && midC <= highC).toBe(true);
  });

  it("looks an hour ahead at most, and five minutes where all is settled", () => {
    const ahead = (settlesAtS: number) => courseAhead({ ...levelled, settlesAtS })!.at(-1)!.s - 1230;
    expect([500, 3000, 9000].map(ahead)).toEqual([300, 1800, 3600]);
  });

  it("says nothing where no end is forecast", () => {
    expect(courseAhead(readAfter("pulsing load", 600, 41_000).run)).toBeNull();
    expect(courseAhead(readAfter("plain", 200, 41_000).run)).toBeNull();
  });

  it("holds what comes in nine moments of ten and more, in each kind that is not disturbed", () => {
    for (const kind of ["plain", "warm start", "drifting room", "held back throughout"] as const) {
      const held = Array.from({ length: 6 }, (_, i) => readAfter(kind, 600, 52_000 + 7919 * i)).flatMap(
        ({ whole, run }) =>
          (courseAhead(run) ?? []).map(({ s, lowC, highC }) => {
            const c = whole.courseC[Math.round(s)]!;
            return lowC <= c && c <= highC;
          }),
      );
      expect(held.length).toBeGreaterThan(100);
      expect(held.filter(Boolean).length / held.length, kind).toBeGreaterThan(0.9);
    }
  });
});
