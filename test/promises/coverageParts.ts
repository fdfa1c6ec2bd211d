import { coverageOf, stresses, withLaplace, withPlainMinutes } from "./coverage.ts";
import { benchOf, type Simulator } from "./subjects.ts";
import type { Table } from "./table.ts";

const percent = (share: number): string => `${(100 * share).toFixed(1)} %`;

/** What a 90 % band is asked to hold under each stress; a limit three times as soft may be held less often. */
const leastHeld = (stress: string): number => (stress === "a limit 3 times as soft" ? 0.75 : 0.85);

export function coverageParts(
  table: Table,
  { simulator, seed, chips }: Readonly<{ simulator: Simulator; seed: number; chips: number }>,
): void {
  const bench = (from: number, index: number) => benchOf(from, index, "broad", simulator);
  for (const attempts of [6, 10, 15]) {
    const found = coverageOf({ chips, attempts, seed, bench });
    const name = `broad chips, ${simulator} simulator, after ${attempts} attempts`;
    table.promise(
      `${name}: 90 % band of the limit holds it, width ${found.widthMhz.toFixed(0)} MHz`,
      percent(found.limit),
      "86 to 94 %",
      found.limit >= 0.86 && found.limit <= 0.94,
    );
    table.figure(`${name}: 90 % band of the voltage for a clock`, percent(found.voltage));
  }
  if (simulator !== "first") return;
  const half = Math.ceil(chips / 2);
  for (const [stress, differing] of Object.entries(stresses)) {
    const { limit } = coverageOf({ chips: half, attempts: 10, seed, ...differing });
    const least = leastHeld(stress);
    table.promise(`after 10 attempts, ${stress}: held`, percent(limit), percent(least), limit >= least);
  }
  const plain = coverageOf({ chips: half, attempts: 10, seed, bench, fit: withPlainMinutes });
  const laplace = coverageOf({ chips: half, attempts: 10, seed, bench, fit: withLaplace });
  table.figure("for comparison, plain minutes, 10 attempts", percent(plain.limit));
  table.figure("for comparison, a normal at the mode, 10 attempts", percent(laplace.limit));
}
