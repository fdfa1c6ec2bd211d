import type { Chip } from "./chip.ts";

/** The clocks that can be set, each a whole number: evenly stepped and without an end, or a list of rates. */
export type ClockSteps = Readonly<{
  /** The last of them at or under a clock; of a list that begins above it, one before its first. */
  rungOf: (clockMhz: number) => number;
  /** Beyond the end of a list as far again as its rates lie apart; before its first 0. */
  clockAt: (rung: number) => number;
  /** How far they lie apart, in a list at the least. */
  stepMhz: number;
  /** The first of a list; -Infinity where there is no first. */
  first: number;
}>;

type Stepped = Pick<Chip, "clockGrid" | "clockStepMhz" | "stockClockMhz">;

/** Counted from stock, else from 0, unless the chip says which rates exist. */
export const clockStepsOf = ({ clockGrid, clockStepMhz, stockClockMhz }: Stepped): ClockSteps =>
  clockGrid.length === 0 ? evenSteps(stockClockMhz ?? 0, clockStepMhz) : listedSteps(clockGrid, clockStepMhz);

const evenSteps = (originMhz: number, stepMhz: number): ClockSteps => ({
  rungOf: (clockMhz) => Math.floor((clockMhz - originMhz) / stepMhz + 1e-9),
  clockAt: (rung) => toThousandths(originMhz + rung * stepMhz),
  stepMhz,
  first: Number.NEGATIVE_INFINITY,
});

function listedSteps(rates: readonly number[], usualMhz: number): ClockSteps {
  const last = rates.length - 1;
  const stepMhz = last === 0 ? usualMhz : Math.min(...rates.slice(1).map((rate, i) => rate - rates[i]!));
  return {
    rungOf: (clockMhz) => rates.findLastIndex((rate) => rate <= clockMhz + 1e-6),
    clockAt: (rung) =>
      rung < 0 ? 0 : (rates[rung] ?? toThousandths(rates[last]! + (rung - last) * stepMhz)),
    stepMhz,
    first: 0,
  };
}

/** The next clock above one that can be set; the one itself where a list ends there. */
export function stepAbove(clockMhz: number, chip: Stepped): number {
  const { rungOf, clockAt } = clockStepsOf(chip);
  const next = clockAt(rungOf(clockMhz) + 1);
  return chip.clockGrid.length > 0 && next > chip.clockGrid.at(-1)! ? clockMhz : next;
}

/** The next clock under one that can be set; 0 where there is none. */
export function stepBelow(clockMhz: number, chip: Stepped): number {
  const { rungOf, clockAt } = clockStepsOf(chip);
  const rung = rungOf(clockMhz);
  return clockAt(clockAt(rung) < clockMhz - 1e-6 ? rung : rung - 1);
}

const toThousandths = (value: number): number => Math.round(value * 1000) / 1000;
