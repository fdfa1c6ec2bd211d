import type { Chip } from "./chip.ts";
import { volts } from "./words.ts";

/** A clock at a voltage. */
export type Setting = Readonly<{ clockMhz: number; voltageMv: number }>;

/** What an attempt was set to, by whatever its chip is set by. */
export type AsSet = Readonly<{
  clockMhz: number | null;
  voltageMv: number | null;
  offset?: number | null | undefined;
  offsets?: Readonly<Record<string, number>> | null | undefined;
  part?: string | null | undefined;
}>;

/** In which units a chip's settings are written. */
export type SettingUnits = Readonly<Pick<Chip, "clockUnit" | "offset">>;

export const isSetByClock = <Of extends AsSet>(of: Of): of is Of & Setting =>
  of.clockMhz !== null && of.voltageMv !== null && of.offset == null && of.offsets == null;

/** With its sign, a true minus, and the unit where it is known. */
export const offsetWords = (value: number, units?: SettingUnits): string => {
  const unit = units?.offset?.unit;
  const number = `${value < 0 ? "−" : value > 0 ? "+" : ""}${Math.abs(value)}`;
  return unit === undefined || unit === "counts" ? number : `${number} ${unit}`;
};

const mostListed = 4;

/** "core 1 −20 mV, core 2 −25 mV": the first four, and how many more. */
export function offsetsListed(offsets: Readonly<Record<string, number>>, units?: SettingUnits): string {
  const all = Object.entries(offsets).map(([part, value]) => `${part} ${offsetWords(value, units)}`);
  const rest = all.length - mostListed;
  return rest > 1 ? `${all.slice(0, mostListed).join(", ")} and ${rest} more` : all.join(", ");
}

/** The offset an attempt was about: of its part, else the one for all; null where it was set by no offset. */
export function offsetOf({ offset, offsets, part }: Omit<AsSet, "clockMhz" | "voltageMv">): number | null {
  if (part != null && offsets != null && Object.hasOwn(offsets, part)) return offsets[part] as number;
  return offset ?? null;
}

/** "offset −30 mV of core 3", "6400 MT/s on automatic voltage", "4625 MHz at 1.2 V": what an attempt is known by. */
export function asSetWords(set: AsSet, units: SettingUnits | undefined): string {
  const offset = offsetOf(set);
  const clock = set.clockMhz === null ? null : `${set.clockMhz} ${units?.clockUnit ?? "MHz"}`;
  if (offset !== null) return `offset ${offsetWords(offset, units)}${set.part ? ` of ${set.part}` : ""}`;
  if (set.offsets != null) return `offsets of ${Object.keys(set.offsets).length} parts`;
  if (clock === null) return "no setting";
  return set.voltageMv === null ? `${clock} on automatic voltage` : `${clock} at ${volts(set.voltageMv)}`;
}
