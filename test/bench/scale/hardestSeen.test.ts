import { describe, expect, it } from "vitest";
import { offsetAnswerOf } from "../../../server/bench/scale/offsetAnswer.ts";
import { standardRule } from "../../../server/bench/things/rule.ts";
import { evidenceRow, testChip, testWorkload } from "../../support/evidenceRows.ts";

const axis = { name: "core offset", unit: "MHz", step: 15, harder: "up" } as const;
const chip = testChip({
  ...{ axis: "offset", stockClockMhz: 2500, stockVoltageMv: 1050 },
  offset: { ...axis, low: null, high: null, countIsAboutMv: null },
});

type Run = readonly [offset: number, outcome: "pass" | "driver-reset", minutes: number, load?: string];

const seenAfter = (runs: readonly Run[]) => {
  const rows = runs.map(([offset, outcome, minutes, workloadId = "all-core"], i) => ({
    ...evidenceRow({ id: `run ${i}`, outcome, durationS: 60 * minutes, workloadId, loadTempC: 65 }),
    ...{ clockMhz: null, voltageMv: null, offset, offsets: null, part: null },
  }));
  const answer = offsetAnswerOf({
    ...{ chip, rows, hottestAmbientC: 30, use: "benchmark", requires: standardRule.requires },
    workloads: [testWorkload("all-core"), testWorkload("idle", { kind: "idle" })],
  });
  if (!("parts" in answer)) throw new Error(answer.because);
  return { level: answer.parts[0]!.setting?.level ?? null, seen: answer.parts[0]!.hardestSeen };
};

const passed: readonly Run[] = [
  [0, "pass", 20],
  [60, "pass", 20],
  [120, "pass", 20],
  [135, "pass", 20],
];

describe("what passed at a harder offset than the answer", () => {
  it("is told with its attempt and the chance of the hour there", () => {
    const { level, seen } = seenAfter([...passed, [150, "driver-reset", 6]]);
    expect(level).toBeLessThan(135);
    expect(seen).toMatchObject({ level: 135, attemptId: "run 3" });
    expect(seen!.because).toMatch(/^There an hour passes only [3-9]\d in 100 times\.$/);
  });

  it("is told by the failure that contests it, there or at an easier offset", () => {
    expect(seenAfter([...passed, [135, "driver-reset", 25]]).seen!.because).toBe(
      "Another run there: driver reset.",
    );
    expect(seenAfter([...passed, [120, "driver-reset", 25]]).seen!.because).toBe(
      "At +120 MHz: driver reset.",
    );
  });

  it("is told by how short it ran, where nothing else speaks against it", () => {
    const { level, seen } = seenAfter([
      [0, "pass", 60],
      [15, "pass", 60],
      [30, "pass", 5],
    ]);
    expect(level).toBe(15);
    expect(seen).toEqual({ level: 30, attemptId: "run 2", because: "It ran for less than ten minutes." });
  });

  it("is nothing where it is the answer, where only idling went further, or where nothing passed", () => {
    const long = seenAfter([
      [0, "pass", 60],
      [15, "pass", 60],
      [30, "pass", 480],
    ]);
    expect(long).toEqual({ level: 30, seen: null });
    expect(seenAfter([...passed, [300, "pass", 600, "idle"]]).seen?.level ?? null).not.toBe(300);
    expect(seenAfter([15, 30, 45].map((offset): Run => [offset, "driver-reset", 3])).seen).toBeNull();
  });
});
