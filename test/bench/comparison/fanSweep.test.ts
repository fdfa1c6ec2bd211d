import { describe, expect, it } from "vitest";
import { usualAssumptions } from "../../../server/bench/comparison/assumptions.ts";
import { fansSetApart, withoutFanSweeps } from "../../../server/bench/comparison/fanSweep.ts";
import { sameSettingRows } from "../../../server/bench/comparison/sameSetting.ts";
import { scatterBetweenRuns, scatterSource } from "../../../server/bench/comparison/scatter.ts";
import type { NoiseReading } from "../../../server/bench/noise/noiseReading.ts";
import { build, run } from "./benchDay.ts";

const at = (hour: number, minute: number) => `2031-03-01T${hour}:${String(minute).padStart(2, "0")}:00.000Z`;
const reading = (id: string, hour: number, over: Partial<NoiseReading> = {}): NoiseReading => ({
  id,
  createdAt: "",
  updatedAt: "",
  version: 1,
  buildId: "build",
  workloadId: "all-core",
  clockMhz: 4600,
  voltageMv: 1200,
  distanceM: 0.5,
  levelsDba: [40],
  backgroundDba: 20,
  takenAt: at(hour, 14),
  note: "",
  ...over,
});
const runAt = (hour: number, fanRpm: number | null) =>
  run({ id: `${hour}`, mountId: "m", startedAt: at(hour, 0), fanRpm });
const ids = (readings: readonly NoiseReading[]) => readings.map(({ id }) => id);

describe("withoutFanSweeps", () => {
  const two = [reading("first", 10), reading("second", 12)];

  it("leaves out readings of one condition at fan speeds set apart on purpose", () => {
    expect(ids(withoutFanSweeps(two, [runAt(10, 800), runAt(12, 1400)]))).toEqual([]);
  });
  it("keeps repeats whose fan curve only wandered with the room", () => {
    expect(ids(withoutFanSweeps(two, [runAt(10, 1000), runAt(12, 1100)]))).toEqual(["first", "second"]);
  });
  it("keeps what was read at a speed that nobody noted, and other conditions", () => {
    const idle = reading("idle", 10, { workloadId: "idle" });
    const later = reading("later", 20);
    const kept = withoutFanSweeps([...two, idle, later], [runAt(10, 800), runAt(12, 1400)]);
    expect(ids(kept)).toEqual(["idle", "later"]);
  });
});

describe("fansSetApart", () => {
  const day = (n: number, fanRpm: number | null, mountId = "m") => ({
    fanRpm,
    mountId,
    startedAt: `2031-03-0${n}T10:00:00.000Z`,
  });

  it("tells fans set by hand from a curve that wanders, and says nothing where no speed was noted", () => {
    expect(fansSetApart([day(1, 800), day(1, 1400)])).toBe(true);
    expect(fansSetApart([day(1, 1000), day(1, 1150), day(1, null)])).toBe(false);
    expect(fansSetApart([day(1, null), day(1, null)])).toBe(false);
  });
  it("takes speeds of one day and mount up to a fifth apart for repeats, and further ones for set apart", () => {
    expect(fansSetApart([runAt(10, 1000), runAt(12, 1200)])).toBe(false);
    expect(fansSetApart([runAt(10, 1000), runAt(12, 1201)])).toBe(true);
    expect(fansSetApart([runAt(10, 1000), { ...runAt(12, 1201), mountId: "other" }])).toBe(false);
  });
  it("takes a warmer day or another mount for no sweep", () => {
    expect(fansSetApart([day(1, 1000), day(2, 1500)])).toBe(false);
    expect(fansSetApart([day(1, 1000), day(1, 1500, "second")])).toBe(false);
  });
  it("a sweep does not make the runs of other settings look scattered", () => {
    const sweep = [700, 1000, 1500].map((fanRpm, n) =>
      run({ id: `s${n}`, mountId: "m", clockMhz: 4300, fanRpm, powerW: 100 + 20 * n }),
    );
    const repeats = [150, 150.4, 149.8].map((powerW, n) =>
      run({ id: `r${n}`, mountId: "m", fanRpm: 1200, powerW }),
    );
    const between = (runs: Parameters<typeof scatterSource>[0]) =>
      scatterBetweenRuns([scatterSource(runs)], "all-core", "power", (one) => one.powerW, false)
        ?.standardDeviation;
    expect(between([...sweep, ...repeats])).toBe(between(repeats));
  });
  it("a temperature over a sweep is shown with a note and never judged, whatever scatter is stated", () => {
    const sweep = (id: string, base: number) =>
      build(
        id,
        [800, 1400].map((fanRpm, n) =>
          run({ id: `${id}${n}`, mountId: id, fanRpm, loadTempC: base - 10 * n }),
        ),
      );
    const [row] = sameSettingRows({
      a: sweep("a", 90),
      b: sweep("b", 70),
      others: [],
      idleWorkloadIds: new Set(),
      assumptions: { ...usualAssumptions, mountScatterC: 0.5 },
    });
    expect(row).toMatchObject({
      measure: "loadRise",
      difference: -20,
      verdict: "not-enough",
      wouldDecide: null,
    });
    expect(row!.notes.join()).toContain("set apart");
  });
});
