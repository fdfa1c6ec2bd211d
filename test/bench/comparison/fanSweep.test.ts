import { describe, expect, it } from "vitest";
import { withoutFanSweeps } from "../../../server/bench/comparison/fanSweep.ts";
import type { NoiseReading } from "../../../server/bench/noiseReading.ts";
import { run } from "./benchDay.ts";

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
