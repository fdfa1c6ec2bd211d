import type { ErrorCounts } from "../kernel/errorCounts.ts";

/** What a machine tells of itself at one moment; null, or no entry, where it does not. */
export type MachineReading = Readonly<{
  /** The hottest place of the chip under test. */
  tempC: number | null;
  powerW: number | null;
  /** Read at the chip or its supply, as the machine tells it. */
  voltageMv: number | null;
  /** The middle clock of the processors that work; at rest, the highest of all. */
  clockMhz: number | null;
  /** Every temperature by its place, and every fan. */
  temps: Readonly<Record<string, number>>;
  fans: Readonly<Record<string, number>>;
  /** Corrected since the machine started, by place. */
  corrected: ErrorCounts;
  /** Whatever else was read, as the trace names it: the unit in brackets. */
  others: Readonly<Record<string, number>>;
}>;

export const nothingRead: MachineReading = {
  tempC: null,
  powerW: null,
  voltageMv: null,
  clockMhz: null,
  temps: {},
  fans: {},
  corrected: {},
  others: {},
};

/** Where readings come from, and what is told of it at the start. */
export type MachineReader = Readonly<{
  /** What can be read, each with its source: "temperature: Tern sensor, hottest core". */
  canRead: readonly string[];
  cannotRead: readonly string[];
  read(): MachineReading;
}>;

/** A row of the attempt's trace, by the names that samples go by. */
export function traceRow({
  tempC,
  powerW,
  voltageMv,
  clockMhz,
  temps,
  fans,
  others,
}: MachineReading): Record<string, number> {
  const row: Record<string, number> = {};
  if (tempC !== null) row.temperatureC = tempC;
  if (powerW !== null) row.powerW = powerW;
  if (voltageMv !== null) row.voltageMv = voltageMv;
  if (clockMhz !== null) row.clockMhz = clockMhz;
  for (const [place, value] of Object.entries(temps)) row[`${place} [°C]`] = value;
  for (const [place, value] of Object.entries(fans)) row[`${place} [rpm]`] = value;
  return { ...row, ...others };
}
