import { alikeFigures } from "./alikePairs.ts";
import { pairFigures } from "./clockPairs.ts";
import type { Simulator } from "./subjects.ts";
import type { Table } from "./table.ts";

type Asked = Readonly<{ simulator: Simulator; seed: number; pairs: number }>;

const percent = (count: number, of: number): string => `${((100 * count) / of).toFixed(1)} % of ${of}`;
const between = (share: number, low: number, high: number): boolean => share >= low && share <= high;

/** One difference a pair from a fit of both builds, 36 attempts each, beside a paired t over four crash clocks. */
export function clockParts(table: Table, { simulator, seed, pairs }: Asked): void {
  for (const [apartMhz, least] of [
    [0, 0],
    [50, 0.5],
    [100, 0.9],
  ] as const) {
    const found = pairFigures({ pairs, seed, apartMhz, simulator });
    const name = `builds ${apartMhz} MHz apart, ${simulator} simulator`;
    const differs = found.differs / pairs;
    table.promise(
      apartMhz === 0 ? `${name}: claimed to differ` : `${name}: found`,
      percent(found.differs, pairs),
      apartMhz === 0 ? "at most 5 %" : `${100 * least} %`,
      apartMhz === 0 ? differs <= 0.05 : differs >= least,
    );
    table.promise(
      `${name}: interval holds the truth, half-width ${found.halfWidthMhz.toFixed(0)} MHz`,
      percent(found.held, pairs),
      "93 to 98 %",
      between(found.held / pairs, 0.93, 0.98),
    );
    table.figure(`${name}: by a paired t over the crash clocks`, percent(found.pairedT, pairs));
  }
}

/** Builds alike in everything: how many comparisons claim any difference. */
export function alikeParts(table: Table, { simulator, seed, pairs }: Asked): void {
  const { together, alone } = alikeFigures({ pairs, seed, simulator });
  table.promise(
    `builds alike, ${simulator} simulator: any difference claimed of clock, heat and noise together`,
    percent(together, pairs),
    "7 %",
    together <= 0.07 * pairs,
  );
  table.figure(`builds alike, ${simulator} simulator: any row that differs by itself`, percent(alone, pairs));
}
