import { describe, expect, it } from "vitest";
import type { FrontierPoint } from "../../../server/bench/frontier/frontierPoint.ts";
import { type Bench, stepFrom } from "../../../server/bench/next/plainSteps.ts";
import type { EvidenceRow } from "../../../server/bench/things/evidenceRow.ts";
import { evidenceRow, testChip } from "../../support/evidenceRows.ts";

const chip = testChip({ voltageCeilingMv: 1300, voltageStepMv: 25 });
const point = (voltageMv: number, more: Partial<FrontierPoint> = {}): FrontierPoint =>
  ({
    ...{ voltageMv, heldMhz: null, highestPassedMhz: null, lowestCrashMhz: null },
    ...{ margin: "ok", contested: [], ...more },
  }) as unknown as FrontierPoint;
const bench = (rows: readonly EvidenceRow[], points: readonly FrontierPoint[], more: Partial<Bench> = {}) => {
  const last = rows.at(-1)!;
  const here = points.find(({ voltageMv }) => voltageMv === last.voltageMv)!;
  return { chip, rows, last, points, point: here, ...more };
};
const ran = (clockMhz: number, outcome: EvidenceRow["outcome"] = "pass", voltageMv = 1250) =>
  evidenceRow({ clockMhz, outcome, voltageMv });

describe("the plain rule, where nothing is fitted", () => {
  it("takes a voltage step off where heat ended the last attempt", () => {
    const hot = [ran(4600, "too-hot")];
    const here = point(1250);
    expect(stepFrom(bench(hot, [here]))).toMatchObject({
      clockMhz: 4600,
      voltageMv: 1225,
      purpose: "screen",
    });
  });

  it("runs again what was broken off before it could decide anything, unless its clock is decided there", () => {
    const stopped = [ran(4700, "stopped")];
    const again = { clockMhz: 4700, voltageMv: 1250, purpose: "screen" };
    expect(stepFrom(bench(stopped, [point(1250)]))).toMatchObject(again);
    const passed = { highestPassedMhz: 4700, heldMhz: 4700 };
    expect(stepFrom(bench(stopped, [point(1250, passed)])).clockMhz).toBe(4725);
    const crashed = { highestPassedMhz: 4600, heldMhz: 4600, lowestCrashMhz: 4650 };
    expect(stepFrom(bench(stopped, [point(1250, crashed)])).clockMhz).not.toBe(4700);
  });

  it("runs the lowest contested pass once more, and then lets the crash stand", () => {
    const [low, high, crash] = [ran(4650), ran(4700), ran(4600, "freeze", 1275)];
    const contested = { highestPassedMhz: 4700, contested: [high.id, low.id] };
    const points = [point(1250, contested), point(1275, { lowestCrashMhz: 4600 })];
    const last = { last: high, point: points[0]! };
    expect(stepFrom(bench([low, high, crash], points, last))).toMatchObject({
      ...{ clockMhz: 4650, voltageMv: 1250, purpose: "resolve" },
      because: "4650 MHz passed here, yet 4600 MHz crashed at 1.275 V: one more run says which to believe.",
    });
    const rerun = ran(4650, "freeze");
    expect(stepFrom(bench([low, high, crash, rerun], points, last)).purpose).not.toBe("resolve");
  });

  it("proves the step below the lowest crash, unless it is held", () => {
    const crash = { highestPassedMhz: 4600, heldMhz: 4600, lowestCrashMhz: 4700 };
    expect(stepFrom(bench([ran(4700, "freeze")], [point(1250, crash)]))).toMatchObject({
      ...{ clockMhz: 4675, voltageMv: 1250, purpose: "prove" },
      because: "4700 MHz crashed at 1.250 V; one step below it was not proven yet.",
    });
  });

  it("goes a clock step up where nothing has crashed", () => {
    const passed = { highestPassedMhz: 4600, heldMhz: 4600 };
    expect(stepFrom(bench([ran(4600)], [point(1250, passed)]))).toMatchObject({
      ...{ clockMhz: 4625, voltageMv: 1250, purpose: "screen" },
    });
  });

  const decided = { highestPassedMhz: 4675, heldMhz: 4675, lowestCrashMhz: 4700 };
  it("asks of a voltage that is decided whether one step more of it carries the clock that crashed", () => {
    const rows = [ran(4675), ran(4700, "freeze")];
    expect(stepFrom(bench(rows, [point(1250, decided)]))).toMatchObject({
      ...{ clockMhz: 4700, voltageMv: 1275, purpose: "map" },
    });
    const barred = [
      bench(rows, [point(1250, decided), point(1275, { heldMhz: 4600 })]),
      bench(rows, [point(1250, decided)], { chip: { ...chip, voltageCeilingMv: 1274 } }),
      bench(rows, [point(1250, { ...decided, margin: "over" })]),
    ];
    for (const one of barred) expect(stepFrom(one)).toMatchObject({ purpose: "prove", durationS: 3600 });
  });

  it("asks for an hour on the highest setting that holds, wherever the last attempt was", () => {
    const lower = { highestPassedMhz: 4500, heldMhz: 4500, lowestCrashMhz: 4525 };
    const points = [point(1200, lower), point(1250, decided), point(1275, { heldMhz: 4600 })];
    const rows = [ran(4675), ran(4700, "freeze"), ran(4525, "freeze", 1200)];
    expect(stepFrom(bench(rows, points))).toMatchObject({
      ...{ clockMhz: 4675, voltageMv: 1250, purpose: "prove", durationS: 3600 },
    });
  });
});
