import { describe, expect, it } from "vitest";
import { driftOf } from "../../../server/bench/comparison/drift.ts";
import { seededRandom } from "../../../server/numerics/seededRandom.ts";
import { run } from "./benchDay.ts";

const control = { workloadId: "all-core", clockMhz: 4600, voltageMv: 1200, clockMode: null };
const day = (number: number, temps: readonly number[]) =>
  temps.map((loadTempC, n) =>
    run({
      id: `${number}-${n}`,
      mountId: "m",
      startedAt: `2031-03-0${number}T1${n}:00:00.000Z`,
      loadTempC,
    }),
  );

describe("control runs and the bench's drift", () => {
  it("a bench three degrees off on the third day is said to have drifted", () => {
    const runs = [...day(1, [80, 80.3]), ...day(2, [81.4, 81.7]), ...day(3, [83.1, 83.4])];
    const drift = driftOf(runs, control, "loadRise");
    expect(drift.days.map((one) => [one.day, one.runs])).toEqual([
      ["2031-03-01", 2],
      ["2031-03-02", 2],
      ["2031-03-03", 2],
    ]);
    expect(drift).toMatchObject({ verdict: "differs", difference: 3.1 });
    expect(drift.words).toContain("drifted by +3.1 °C");
  });
  it("a small drift has its sign too, and both ends of its range theirs", () => {
    const words = (last: readonly number[]) =>
      driftOf([...day(1, [80, 80.2]), ...day(2, last)], control, "loadRise").words;
    expect(words([80.4, 80.6])).toMatch(/: \+0\.4 °C \([−+]\d+\.\d to \+\d+\.\d\)/);
    expect(words([79.6, 79.8])).toMatch(/: −0\.4 °C \(−\d+\.\d to [−+]\d+\.\d\)/);
  });
  it("one run a day cannot tell drift from scatter, and says so", () => {
    const drift = driftOf([...day(1, [80]), ...day(2, [83])], control, "loadRise");
    expect(drift).toMatchObject({ verdict: "not-enough", low: null, difference: 3 });
    expect(drift.words).toContain("twice a day");
  });
  it("a day begins where the tester lives", () => {
    const late = run({ id: "x", mountId: "m", startedAt: "2031-03-01T23:30:00.000Z" });
    expect(driftOf([late], control, "loadRise", false, 60).days[0]!.day).toBe("2031-03-02");
  });
  it("no control run is no answer", () => {
    expect(driftOf([], control, "loadRise")).toMatchObject({
      verdict: "not-enough",
      days: [],
      difference: null,
    });
  });
  it("a bench that stands still is accused on about one in twenty days", () => {
    const random = seededRandom(8);
    let accused = 0;
    for (let n = 0; n < 2000; n++) {
      const temps = () => Array.from({ length: 3 }, () => 80 + 0.5 * random.normal());
      if (driftOf([...day(1, temps()), ...day(2, temps())], control, "loadRise").verdict === "differs")
        accused++;
    }
    expect(accused / 2000).toBeGreaterThan(0.03);
    expect(accused / 2000).toBeLessThan(0.065);
  });
});
