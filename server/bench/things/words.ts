import type { Chip } from "./chip.ts";

/** Volts with the digits a voltage deserves: three decimals, a fourth or fifth only where it says something. */
export function volts(mv: number): string {
  const decimals = Number.isInteger(mv) ? 3 : Number.isInteger(mv * 10) ? 4 : 5;
  return `${(mv / 1000).toFixed(decimals)} V`;
}

/**
 * What a tester called a knob or an offset, as it stands within a sentence: "core offset". What is written with a capital
 * elsewhere too, as CL, tRCD or SoC voltage, stays as it is.
 */
export const withinSentence = (name: string): string =>
  /^\p{Lu}\p{Ll}+(?![\p{L}\d])/u.test(name) ? `${name.charAt(0).toLowerCase()}${name.slice(1)}` : name;

/** What the clocks of a chip are told in. */
export type UnitOfClock = Chip["clockUnit"];

/** A clock in the unit of its chip, to a thousandth, without idle zeros. */
export const clockWords = (clock: number, unit: UnitOfClock): string => `${Number(clock.toFixed(3))} ${unit}`;
