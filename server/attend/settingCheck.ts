import { type ReadBack, readBackOf, type SettingRead } from "../bench/runs/settingRead.ts";
import { median } from "./earlier.ts";
import type { MachineReading } from "./reading.ts";

/** Compares, half a minute into a run, what the machine reads with the setting it is thought to be at. */
export type SettingCheck = Readonly<{
  look(t: number, reading: MachineReading): void;
  /** Null before there are readings enough. */
  latest(): ReadBack | null;
  /** The middle of what was read under load. */
  read(): SettingRead;
}>;

export type SettingCheckOf = Readonly<{
  asked: SettingRead;
  others: readonly SettingRead[];
  droopMv: number | null;
}>;

const fromS = 5;
const untilS = 30;
const fewest = 3;

export function settingCheck({ asked, others, droopMv }: SettingCheckOf): SettingCheck {
  const [clocks, voltages] = [[] as number[], [] as number[]];
  let [found, isFound] = [null as ReadBack | null, false];
  const read = (): SettingRead => ({ clockMhz: median(clocks), voltageMv: median(voltages) });
  return {
    look: (t, { clockMhz, voltageMv }) => {
      if (isFound || t < fromS) return;
      if (clockMhz !== null) clocks.push(clockMhz);
      if (voltageMv !== null) voltages.push(voltageMv);
      if (t < untilS || (clocks.length < fewest && voltages.length < fewest && t < untilS + 10)) return;
      [found, isFound] = [readBackOf({ asked, read: read(), others, droopMv }), true];
    },
    latest: () => found,
    read,
  };
}

/** As the attempt keeps it. */
export function medianReading(check: SettingCheck): Record<string, number> {
  const { voltageMv } = check.read();
  return voltageMv === null ? {} : { loadVoltageMv: Math.round(voltageMv * 10) / 10 };
}
