import type { Chip } from "./chip.ts";

/** Volts with the digits a voltage deserves: three decimals, a fourth or fifth only where it says something. */
export function volts(mv: number): string {
  const decimals = Number.isInteger(mv) ? 3 : Number.isInteger(mv * 10) ? 4 : 5;
  return `${(mv / 1000).toFixed(decimals)} V`;
}

/** What the clocks of a chip are told in. */
export type UnitOfClock = Chip["clockUnit"];

/** A clock in the unit of its chip, to a thousandth, without idle zeros. */
export const clockWords = (clock: number, unit: UnitOfClock): string => `${Number(clock.toFixed(3))} ${unit}`;
