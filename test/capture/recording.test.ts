import { rmSync } from "node:fs";
import path from "node:path";
import { describe, expect, it } from "vitest";
import { chooseSensors } from "../../server/actions/captureSensors.ts";
import { recordingOf } from "../../server/capture/recording.ts";
import { smallWorld, testServer } from "../support/bench.ts";
import { madeSensors } from "../support/madeSensors.ts";

const package1 = (c: number) => ({
  hwmon0: { name: "corewatch", temp1_input: String(1000 * c), temp1_label: "Package" },
});
const fan1 = { hwmon1: { name: "boardwatch", fan1_input: "1210" } };
const choices = [
  { sensor: "corewatch/temp1", channel: "temperature" },
  { sensor: "boardwatch/fan1", channel: "fan" },
];

async function recordedBench(isOn = true) {
  const server = await testServer();
  const { journal, clock } = server;
  const world = await smallWorld(server);
  const root = madeSensors({ ...package1(40), ...fan1 });
  const faults: unknown[] = [];
  const recording = recordingOf({ journal, now: clock.now, root, complain: (fault) => faults.push(fault) });
  journal.writeNow(() => chooseSensors(choices, isOn, { journal, now: clock.now() }));
  const arm = async () =>
    (
      await server.send("POST", `/api/builds/${world.cupboard}/attempts`, {
        workloadId: world.heavy,
        clockMhz: 4600,
        voltageMv: 1200,
        outcome: "running",
      })
    ).body.id as string;
  /** So many seconds at a temperature each second gives. */
  const seconds = async (count: number, tempC: (second: number) => number = () => 40) => {
    for (let second = 0; second < count; second += 1) {
      clock.pass(1);
      madeSensors(package1(tempC(second)), root);
      await recording.tick();
    }
  };
  const rows = (id: string, channel = "temperature") =>
    Array.from(journal.traces.whole(id, [channel]).get(channel) ?? []);
  return { ...server, recording, root, faults, arm, seconds, rows };
}

describe("recordingOf", () => {
  it("keeps the chosen sensors of the attempt that runs, a row a second, a few at a time", async () => {
    const bench = await recordedBench();
    const id = await bench.arm();
    await bench.seconds(4, (second) => 50 + second);
    expect(bench.rows(id)).toEqual([]);
    await bench.seconds(1, () => 54);
    expect(bench.rows(id)).toEqual([50, 51, 52, 53, 54]);
    expect(bench.rows(id, "time")).toEqual([1, 2, 3, 4, 5]);
    expect(bench.rows(id, "fan")).toEqual([1210, 1210, 1210, 1210, 1210]);
    expect(bench.journal.traces.outline(id)).toMatchObject({
      source: "live",
      channels: [
        { channel: "fan", unit: "rpm" },
        { channel: "temperature", unit: "°C" },
      ],
    });
  });

  it("is the heartbeat of the machine under test", async () => {
    const bench = await recordedBench();
    const id = await bench.arm();
    await bench.seconds(10, () => 61);
    expect(bench.journal.attempts.lastHeartbeat(id, "machine")).toMatchObject({ elapsedS: 10, tempC: 61 });
  });

  it("records nothing until it is turned on", async () => {
    const bench = await recordedBench(false);
    const id = await bench.arm();
    await bench.seconds(12);
    expect(bench.journal.traces.outline(id)).toBeUndefined();
    expect(bench.journal.captureSensors.chosen()).toHaveLength(2);
  });

  it("goes on with the others where a sensor vanishes, and takes it up again when it is back", async () => {
    const bench = await recordedBench();
    const id = await bench.arm();
    await bench.seconds(5);
    rmSync(path.join(bench.root, "hwmon1"), { recursive: true });
    await bench.seconds(10);
    madeSensors(fan1, bench.root);
    await bench.seconds(15);
    expect(bench.rows(id)).toHaveLength(30);
    const fan = bench.rows(id, "fan");
    expect(fan.slice(0, 5).every((rpm) => rpm === 1210)).toBe(true);
    expect(fan.slice(5, 15).every(Number.isNaN)).toBe(true);
    expect(fan.at(-1)).toBe(1210);
    expect(bench.faults).toEqual([]);
  });

  it("stops when the attempt ends, keeps its last rows, and fills in what nobody typed", async () => {
    const bench = await recordedBench();
    const id = await bench.arm();
    const heating = (second: number) =>
      second < 20 ? 38 : Math.round(80 - 42 * Math.exp(-(second - 20) / 30));
    await bench.seconds(330, heating);
    await bench.send("PATCH", `/api/attempts/${id}`, { outcome: "stopped", durationS: 330 });
    await bench.seconds(20, () => 35);
    expect(bench.rows(id)).toHaveLength(330);
    const { body } = await bench.send("GET", `/api/attempts/${id}`);
    expect(body.loadTempC).toBeCloseTo(80, 0);
    expect(body.peakTempC).toBeGreaterThanOrEqual(80);
  });

  it("leaves alone an attempt that was found interrupted", async () => {
    const bench = await recordedBench();
    const id = await bench.arm();
    bench.journal.interrupted.add(id);
    await bench.seconds(10);
    expect(bench.journal.traces.outline(id)).toBeUndefined();
  });
});
