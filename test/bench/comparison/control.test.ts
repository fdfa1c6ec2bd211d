import { describe, expect, it } from "vitest";
import { controlOf, driftsOf, tellingDrift } from "../../../server/bench/comparison/control.ts";
import type { RunRow } from "../../../server/bench/runs/runRow.ts";
import { run } from "./benchDay.ts";

const row = (day: number, hour: number, over: Partial<RunRow> = {}): RunRow => ({
  ...run({ id: `${day}-${hour}`, mountId: "first" }),
  voltageReadAt: null,
  loadLine: null,
  tags: [],
  startedAt: `2031-03-0${day}T${hour}:00:00.000Z`,
  ...over,
});

describe("controlOf", () => {
  it("takes the setting that ran on most days, where none is tagged", () => {
    const often = [1, 2, 3].map((day) => row(day, 10));
    const rarely = [1, 2].flatMap((day) => [11, 12, 13].map((hour) => row(day, hour, { clockMhz: 4500 })));
    expect(controlOf([...rarely, ...often])).toMatchObject({
      clockMhz: 4600,
      days: 3,
      runs: 3,
      tagged: false,
    });
  });
  it("believes the tester's tag over the count of days, however it is spelt", () => {
    const often = [1, 2, 3].map((day) => row(day, 10));
    const tagged = row(1, 15, { clockMhz: 4500, tags: ["proof", " Control"] });
    expect(controlOf([...often, tagged])).toMatchObject({ clockMhz: 4500, tagged: true, days: 1 });
  });
  it("knows none where no setting ran on two days", () => {
    expect(controlOf([row(1, 10), row(1, 11), row(2, 10, { clockMhz: 4500 })])).toBeUndefined();
    expect(controlOf([])).toBeUndefined();
  });
  it("does not count crashes and throttled runs", () => {
    const crashed = row(2, 10, { outcome: "freeze" });
    expect(controlOf([row(1, 10), crashed, row(3, 10, { throttled: true })])).toBeUndefined();
  });
});

describe("driftsOf", () => {
  const twice = (day: number, loadTempC: number, mountId = "first") =>
    [10, 11].map((hour) => row(day, hour, { loadTempC: loadTempC + 0.2 * (hour - 10), mountId }));

  it("follows temperatures on the mount that saw most days, so that a remount is not called drift", () => {
    const runs = [...twice(1, 80), ...twice(2, 80), ...twice(3, 86, "second")];
    const control = controlOf(runs)!;
    expect(control).toMatchObject({ mountId: "first", mountDays: 2, days: 3 });
    const heat = driftsOf(runs, control, false)[0]!;
    expect(heat).toMatchObject({ measure: "loadRise", difference: 0, remounted: false });
  });
  it("says that nothing can be said where every day had its own mount", () => {
    const runs = [...twice(1, 80), ...twice(2, 86, "second")];
    const heat = driftsOf(runs, controlOf(runs)!, false)[0]!;
    expect(heat).toMatchObject({ remounted: true, difference: 6 });
    expect(heat.words).toContain("nothing can be said of the bench");
  });
  it("lets another measure speak where the temperatures cannot", () => {
    const runs = [...twice(1, 80), ...twice(2, 86, "second")].map((one, n) => ({
      ...one,
      powerW: 150 + 0.5 * (n % 2),
    }));
    expect(tellingDrift(driftsOf(runs, controlOf(runs)!, false))).toMatchObject({
      measure: "power",
      verdict: "within-scatter",
    });
  });
});
