import path from "node:path";
import { describe, expect, it } from "vitest";
import { bootIdIn, memoryKills, uptimeS } from "../../server/kernel/boot.ts";
import {
  highestClockMhz,
  loadedBetween,
  middleClockMhz,
  processorTimes,
} from "../../server/kernel/clocks.ts";
import { energyCounters, meanPowerW } from "../../server/kernel/energy.ts";
import { errorsSince, kernelErrorCounts } from "../../server/kernel/errorCounts.ts";
import { madeTree } from "../support/madeTree.ts";

const cpu = (n: number) => `devices/system/cpu/cpu${n}/cpufreq/scaling_cur_freq`;

describe("what the kernel counts", () => {
  it("tells which processors worked, and their middle clock", () => {
    const proc = madeTree({
      stat: "cpu  9 9 9 9\ncpu0 100 0 0 100 0 0 0 0\ncpu1 50 0 10 140 0 0 0 0\nintr 1",
    });
    const before = processorTimes(proc);
    madeTree({ stat: "cpu0 190 0 5 105 0 0 0 0\ncpu1 52 0 10 238 0 0 0 0" }, proc);
    expect(loadedBetween(before, processorTimes(proc))).toEqual([0]);
    const sysfs = madeTree({ [cpu(0)]: 4_573_000, [cpu(1)]: 800_000, [cpu(2)]: 4_576_000 });
    expect(middleClockMhz(sysfs, [0, 2])).toBe(4574.5);
    expect(middleClockMhz(sysfs, [0, 1, 2])).toBe(4573);
    expect(highestClockMhz(sysfs, [0, 1, 2])).toBe(4576);
    expect(middleClockMhz(sysfs, [7])).toBeNull();
    expect(processorTimes(madeTree({}))).toEqual(new Map());
  });

  it("tells power from energy, also where the counter begins again", () => {
    const folder = "class/powercap/made-rapl:0";
    const sysfs = madeTree({
      [`${folder}/name`]: "package-0",
      [`${folder}/energy_uj`]: 1,
      [`${folder}/max_energy_range_uj`]: 262_143_328_850,
      "class/powercap/made-rapl:0:0/energy_uj": 1,
      "class/powercap/made-rapl/enabled": 1,
    });
    expect(energyCounters(sysfs, "/nowhere")).toMatchObject([
      { name: "package-0", rangeUj: 262_143_328_850 },
    ]);
    // Where only root may read it, a reader's copy is read.
    const closed = madeTree({ [`${folder}/name`]: "package-0" });
    expect(energyCounters(closed, "/nowhere")).toEqual([]);
    const reader = madeTree({ "energy-made-rapl:0": 7 });
    expect(energyCounters(closed, reader)).toMatchObject([{ file: path.join(reader, "energy-made-rapl:0") }]);
    expect(meanPowerW(1_000_000, 142_000_000, 1, null)).toBe(141);
    expect(meanPowerW(999_000_000, 41_000_000, 1, 1_000_000_000)).toBe(42);
    expect(meanPowerW(999_000_000, 41_000_000, 1, null)).toBeNull();
    expect(meanPowerW(0, 1e12, 1, null)).toBeNull();
  });

  it("tells corrected errors by place, and those that came since", () => {
    const sysfs = madeTree({
      "devices/system/edac/mc/mc0/ce_count": 3,
      "devices/system/edac/mc/mc1/ce_count": 1,
      "bus/pci/devices/0000:01:00.0/aer_dev_correctable": "RxErr 2\nTOTAL_ERR_COR 2",
      "bus/pci/devices/0000:02:00.0/vendor": "x",
    });
    const proc = madeTree({
      interrupts:
        "           CPU0       CPU1\n THR:          4          2   Threshold interrupts\n MCE:          0          1   Machine check exceptions\n MCP:        900        900   Machine check polls",
    });
    const counts = kernelErrorCounts(sysfs, proc);
    expect(counts).toEqual({ core: 7, memory: 4, bus: 2 });
    expect(errorsSince({ core: 5, memory: 9 }, counts)).toEqual({ core: 2 });
    expect(kernelErrorCounts(madeTree({}), madeTree({}))).toEqual({});
  });

  it("tells the start it is of, how long ago that was, and what ran out of memory", () => {
    const proc = madeTree({
      "sys/kernel/random/boot_id": "0f2a3c44-6c1e-4d5e-9f00-1234567890ab",
      uptime: "350735.47 234388.90",
      vmstat: "nr_free_pages 1\noom_kill 2\nballoon 0",
    });
    expect([bootIdIn(proc), uptimeS(proc), memoryKills(proc)]).toEqual([
      "0f2a3c44-6c1e-4d5e-9f00-1234567890ab",
      350735.47,
      2,
    ]);
    const nothing = madeTree({});
    expect([bootIdIn(nothing), uptimeS(nothing), memoryKills(nothing)]).toEqual([null, null, null]);
  });
});
