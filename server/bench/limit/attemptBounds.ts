import { evidenceClockMhz } from "../frontier/evidence.ts";
import type { Chip } from "../things/chip.ts";
import { clockStepsOf } from "../things/clockSteps.ts";
import type { EvidenceRow } from "../things/evidenceRow.ts";
import { clockWords, volts } from "../things/words.ts";

/** How far a proposal may go. Downward everything is free. */
export type AttemptBounds = Readonly<{
  /** Null where nothing is known to count the steps from. */
  highestMhz: number | null;
  highestMv: number | null;
  clockBecause: string;
  voltageBecause: string;
}>;

const clockStepsBeyond = 8;
const voltageStepsBeyond = 2;

/**
 * At most eight clock steps or two voltage steps beyond the evidence, stock included; never above the ceiling, and with
 * no ceiling entered never above the highest voltage tried or stock.
 */
export function attemptBoundsOf(chip: Chip, rows: readonly EvidenceRow[]): AttemptBounds {
  const clocks = rows.flatMap((row) => evidenceClockMhz(row) ?? []);
  const triedMhz = highest([...clocks, chip.stockClockMhz]);
  const triedMv = highest([...rows.map(({ voltageMv }) => voltageMv), chip.stockVoltageMv]);
  const beyondMv = triedMv === null ? null : triedMv + voltageStepsBeyond * chip.voltageStepMv;
  const ceilingMv = chip.voltageCeilingMv ?? triedMv;
  const highestMv = lowest([beyondMv, ceilingMv]);
  return {
    highestMhz: triedMhz === null ? null : furthestFrom(triedMhz, chip),
    highestMv,
    clockBecause:
      triedMhz === null
        ? ""
        : `more than eight clock steps beyond ${clockWords(triedMhz, chip.clockUnit)}, the highest known so far`,
    voltageBecause: voltageBecause(chip, highestMv, beyondMv, triedMv),
  };
}

/** The clock up to which a proposal may go from one that was tried; no rate that does not exist. */
export function furthestFrom(clockMhz: number, chip: Chip): number {
  const listed = chip.clockGrid.at(-1);
  if (listed === undefined) return clockMhz + clockStepsBeyond * chip.clockStepMhz;
  const { rungOf, clockAt } = clockStepsOf(chip);
  return Math.min(listed, clockAt(rungOf(clockMhz) + clockStepsBeyond));
}

function voltageBecause(
  chip: Chip,
  highestMv: number | null,
  beyondMv: number | null,
  triedMv: number | null,
): string {
  if (highestMv === null) return "";
  if (chip.voltageCeilingMv === null)
    return `above ${volts(highestMv)}, the highest voltage tried or stock, and no ceiling is entered for the chip`;
  return beyondMv !== null && triedMv !== null && beyondMv < chip.voltageCeilingMv
    ? `more than two voltage steps beyond ${volts(triedMv)}, the highest known so far`
    : `above the chip's ceiling of ${volts(chip.voltageCeilingMv)}`;
}

const highest = (values: readonly (number | null)[]): number | null =>
  values.reduce((most, value) => (value !== null && (most === null || value > most) ? value : most), null);

const lowest = (values: readonly (number | null)[]): number | null =>
  values.reduce(
    (least, value) => (value !== null && (least === null || value < least) ? value : least),
    null,
  );
