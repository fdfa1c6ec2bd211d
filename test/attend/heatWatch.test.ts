import { describe, expect, it } from "vitest";
import { heatWatch, type StopLimits } from "../../server/attend/heatWatch.ts";
import { type MachineReading, nothingRead } from "../../server/attend/reading.ts";

const limits: StopLimits = { stopAtC: 92, places: {} };

/** The first second at which the watch ends the run, and why; null where it never does. */
function endedIn(seconds: readonly Partial<MachineReading>[], of: StopLimits = limits) {
  const watch = heatWatch(of);
  for (const [t, reading] of seconds.entries()) {
    const ending = watch(t, { ...nothingRead, ...reading });
    if (ending !== null) return { t, ...ending };
  }
  return null;
}
const seconds = (count: number, tempAt: (t: number) => number | null): Partial<MachineReading>[] =>
  Array.from({ length: count }, (_, t) => ({ tempC: tempAt(t) }));

describe("heat", () => {
  it("ends a run at the temperature named, and not a tenth below", () => {
    expect(endedIn(seconds(60, (t) => Math.min(91.9, 40 + t) - (t % 2) / 10))).toBeNull();
    expect(endedIn(seconds(90, (t) => 40 + t))).toMatchObject({ t: 52, outcome: "too-hot" });
  });

  it("ends it at the limit of another place, by the name the driver has for it", () => {
    const at = (sensor: string, tempC: number): Partial<MachineReading>[] => [
      { tempC: 60.5, temps: { [sensor]: tempC } },
    ];
    const places = { supply: 105, hotspot: 101, "rear module": 82 };
    for (const [sensor, limitC] of [
      ["quay_board VRM", 105],
      ["tern_gpu junction", 101],
      ["dimms Rear Module", 82],
    ] as const) {
      expect(endedIn(at(sensor, limitC - 1), { ...limits, places })).toBeNull();
      expect(endedIn(at(sensor, limitC), { ...limits, places })?.because).toContain(sensor);
    }
    expect(endedIn(at("quay_board chipset", 104), { ...limits, places })).toBeNull();
  });

  it("ends it where the sensor has vanished for three seconds; one reading that fails is nothing", () => {
    expect(endedIn(seconds(60, (t) => (t % 7 === 3 ? null : 60 + t / 10)))).toBeNull();
    expect(endedIn(seconds(60, (t) => (t > 20 ? null : 60 + t / 10)))).toMatchObject({ t: 23 });
  });

  it("ends it where a fine sensor stands still for thirty seconds", () => {
    expect(endedIn(seconds(200, (t) => 60 + Math.min(t, 20) / 10))).toMatchObject({ t: 50 });
  });

  it("lets a coarse sensor rest at its level, and does not where it never rose or others move on", () => {
    expect(endedIn(seconds(2000, (t) => Math.min(75, 40 + t)))).toBeNull();
    expect(endedIn(seconds(100, () => 40))).toMatchObject({ t: 30 });
    const moving = Array.from({ length: 400 }, (_, t) => ({
      tempC: Math.min(75, 40 + t),
      temps: { core: Math.min(75, 40 + t), board: 30 + t / 20 },
    }));
    expect(endedIn(moving)?.t).toBe(155);
  });

  it("ends it where a fan that turned stands for three seconds; one that never turned is not missed", () => {
    const fanned = (rpmAt: (t: number) => number): Partial<MachineReading>[] =>
      Array.from({ length: 60 }, (_, t) => ({
        tempC: 60 + (t % 5) / 10,
        fans: { front: rpmAt(t), rear: 0 },
      }));
    expect(endedIn(fanned(() => 900))).toBeNull();
    expect(endedIn(fanned((t) => (t < 30 || t > 31 ? 900 : 0)))).toBeNull();
    expect(endedIn(fanned((t) => (t < 30 ? 900 : 0)))).toMatchObject({
      t: 33,
      because: "front stands still.",
    });
  });

  it("ends it where the temperature leaps by 25 degrees in three seconds, but for the load's own start", () => {
    expect(endedIn(seconds(60, (t) => (t < 2 ? 35 : 70 + (t % 3) / 10)))).toBeNull();
    expect(endedIn(seconds(60, (t) => (t < 30 ? 60 : 87) + (t % 3) / 10))?.because).toContain("in 3 s");
    expect(endedIn(seconds(60, (t) => 50 + Math.min(t, 30) + (t % 3) / 10))).toBeNull();
  });
});
