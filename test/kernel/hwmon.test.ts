import { mkdirSync, rmSync, writeFileSync } from "node:fs";
import path from "node:path";
import { describe, expect, it } from "vitest";
import { readingsFrom, sensorsIn } from "../../server/kernel/hwmon.ts";
import { temporaryFolder } from "../support/bench.ts";

/** A made tree such as the kernel shows: a folder for each device, a file for each value. */
function madeTree(devices: Readonly<Record<string, Readonly<Record<string, string>>>>): string {
  const root = temporaryFolder();
  for (const [device, files] of Object.entries(devices)) {
    mkdirSync(path.join(root, device));
    for (const [name, text] of Object.entries(files))
      writeFileSync(path.join(root, device, name), `${text}\n`);
  }
  return root;
}

const bench = {
  hwmon0: {
    name: "corewatch",
    temp1_input: "61500",
    temp1_label: "Package",
    temp2_input: "-2250",
    temp2_crit: "100000",
  },
  hwmon1: {
    name: "boardwatch",
    fan1_input: "1210",
    in0_input: "1184",
    curr1_input: "92500",
    power1_average: "141250000",
    pwm1: "120",
  },
  hwmon10: { name: "drive", temp1_input: "35850" },
  hwmon2: { name: "drive", temp1_input: "38850", temp1_label: "Composite" },
};

describe("sensorsIn", () => {
  it("lists what can be read, with labels, units and ids that stay", async () => {
    const sensors = await sensorsIn(madeTree(bench));
    expect(sensors.map(({ id, label, kind, unit }) => [id, label, kind, unit])).toEqual([
      ["corewatch/temp1", "Package", "temperature", "°C"],
      ["corewatch/temp2", "temperature 2", "temperature", "°C"],
      ["boardwatch/curr1", "current 1", "current", "A"],
      ["boardwatch/fan1", "fan 1", "fan", "rpm"],
      ["boardwatch/in0", "voltage 0", "voltage", "mV"],
      ["boardwatch/power1", "power 1", "power", "W"],
      ["drive/temp1", "Composite", "temperature", "°C"],
      ["drive.2/temp1", "temperature 1", "temperature", "°C"],
    ]);
  });

  it("lists none where there is no such folder", async () => {
    expect(await sensorsIn("/nowhere/at/all")).toEqual([]);
  });
});

describe("readingsFrom", () => {
  it("reads degrees, amperes, watts, millivolts and revolutions", async () => {
    const readings = await readingsFrom(await sensorsIn(madeTree(bench)));
    expect(readings.map(({ value }) => value)).toEqual([61.5, -2.25, 92.5, 1210, 1184, 141.25, 38.85, 35.85]);
  });

  it("goes on without a sensor that vanishes or answers nonsense, and has it again when it is back", async () => {
    const root = madeTree(bench);
    const sensors = await sensorsIn(root);
    const file = path.join(root, "hwmon0", "temp1_input");
    rmSync(file);
    writeFileSync(path.join(root, "hwmon1", "fan1_input"), "EIO");
    rmSync(path.join(root, "hwmon2"), { recursive: true });
    expect((await readingsFrom(sensors)).map(({ sensor }) => sensor.id)).toEqual([
      "corewatch/temp2",
      "boardwatch/curr1",
      "boardwatch/in0",
      "boardwatch/power1",
      "drive.2/temp1",
    ]);
    writeFileSync(file, "62000\n");
    expect((await readingsFrom(sensors))[0]).toMatchObject({ value: 62 });
  });
});
