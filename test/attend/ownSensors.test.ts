import { expect, it } from "vitest";
import { ownSensors } from "../../server/attend/ownSensors.ts";
import { traceRow } from "../../server/attend/reading.ts";
import { madeTree } from "../support/madeTree.ts";

const hwmon = "class/hwmon";
const tree = () =>
  madeTree({
    [`${hwmon}/hwmon0/name`]: "tern_core",
    [`${hwmon}/hwmon0/temp1_input`]: 61_500,
    [`${hwmon}/hwmon0/temp1_label`]: "Package",
    [`${hwmon}/hwmon0/temp2_input`]: 64_000,
    [`${hwmon}/hwmon0/temp2_label`]: "Core 3",
    [`${hwmon}/hwmon1/name`]: "quay_board",
    [`${hwmon}/hwmon1/temp1_input`]: 88_000,
    [`${hwmon}/hwmon1/temp1_label`]: "Supply",
    [`${hwmon}/hwmon1/fan1_input`]: 912,
    [`${hwmon}/hwmon1/in0_input`]: 1184,
    [`${hwmon}/hwmon1/in0_label`]: "Vcore",
    [`${hwmon}/hwmon1/in1_input`]: 12_080,
    [`${hwmon}/hwmon1/in1_label`]: "+12",
    "class/powercap/made:0/name": "package-0",
    "class/powercap/made:0/energy_uj": 1_000_000,
    "devices/system/cpu/cpu0/cpufreq/scaling_cur_freq": 4_575_000,
    "devices/system/edac/mc/mc0/ce_count": 0,
  });

it("an attendant reads a made tree, names its sources, and tells what it cannot read", async () => {
  const [sysfs, proc] = [tree(), madeTree({ stat: "cpu0 1 0 0 1" })];
  let nowS = 0;
  const readings = await ownSensors({ sysfs, proc, reader: "/nowhere", chip: "cpu", nowS: () => nowS });
  expect(readings.canRead).toEqual([
    "temperature: tern_core, 2 places",
    "voltage: quay_board, Vcore",
    "power: energy of package-0",
    "clock: the working processors",
    "fans: 1",
    "corrected errors: memory",
  ]);
  expect(readings.cannotRead).toEqual([]);
  readings.read();
  nowS = 2;
  madeTree(
    { "class/powercap/made:0/energy_uj": 283_000_000, "devices/system/edac/mc/mc0/ce_count": 4 },
    sysfs,
  );
  const reading = readings.read();
  // The hottest place of the chip, not of the board.
  expect(reading).toMatchObject({
    tempC: 64,
    powerW: 141,
    voltageMv: 1184,
    clockMhz: 4575,
    corrected: { memory: 0 },
  });
  expect(traceRow(reading)).toEqual({
    temperatureC: 64,
    powerW: 141,
    voltageMv: 1184,
    clockMhz: 4575,
    "tern_core Package [°C]": 61.5,
    "tern_core Core 3 [°C]": 64,
    "quay_board Supply [°C]": 88,
    "quay_board fan 1 [rpm]": 912,
  });
  nowS = 12;
  expect(readings.read().corrected).toEqual({ memory: 4 });
});

it("where nothing can be read says so", async () => {
  const none = await ownSensors({
    sysfs: madeTree({}),
    proc: madeTree({}),
    reader: "/nowhere",
    chip: "gpu",
    nowS: () => 0,
  });
  expect(none.canRead).toEqual([]);
  expect(none.cannotRead).toEqual(["temperature", "voltage", "power", "clock", "fans", "corrected errors"]);
  expect(none.read()).toMatchObject({ tempC: null, powerW: null, clockMhz: null });
});
