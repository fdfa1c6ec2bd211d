import {
  type Banded,
  bandOfRead,
  hangsOnDroop,
  type ReadCase,
  type ReadRecord,
  readRecord,
} from "./readCoverage.ts";
import { type Mean, percent, shareOf } from "./statistics.ts";
import { simulators } from "./subjects.ts";
import type { Table } from "./table.ts";

/** What attempts on automatic voltage teach where the load voltage was read. */
export function readingParts(table: Table, { seed, chips }: Readonly<{ seed: number; chips: number }>): void {
  for (const simulator of simulators) {
    const banded = bandsOf({ seed, simulator }, chips);
    const [own, without] = [banded("context"), banded("without")];
    const held = heldIn(own);
    table.promise(
      `${simulator}: 90 % band with attempts placed by readings holds the limit`,
      percent(held),
      "86 %",
      held.mean >= 0.86,
    );
    table.figure(`${simulator}: without them`, percent(heldIn(without)));
    table.figure(`${simulator}: at the voltages truly given`, percent(heldIn(banded("given"))));
    const ratio = widthRatio(own, without);
    table.promise(`${simulator}: width against without them`, ratio.toFixed(2), "under 1", ratio < 1);
    const coarse = bandsOf({ seed, simulator, ...hangsOnDroop }, chips);
    table.figure(`${simulator}, all hangs on the droop: holds`, percent(heldIn(coarse("context"))));
    table.figure(`${simulator}, the droop taken as known`, percent(heldIn(coarse("droopKnown"))));
    table.figure(`${simulator}, at the voltages truly given`, percent(heldIn(coarse("given"))));
    const elsewhere = bandsOf({ seed, simulator, counts: [9, 3, 8] }, chips);
    const [taught, taughtWithout] = [elsewhere("taught"), elsewhere("taughtWithout")];
    const heldElsewhere = heldIn(taught);
    table.promise(
      `${simulator}: 90 % band of a build taught by another with such attempts holds the limit`,
      percent(heldElsewhere),
      "86 %",
      heldElsewhere.mean >= 0.86,
    );
    table.figure(`${simulator}: taught without them`, percent(heldIn(taughtWithout)));
    const narrower = widthRatio(taught, taughtWithout);
    table.promise(
      `${simulator}: its width against without them`,
      narrower.toFixed(2),
      "under 1",
      narrower < 1,
    );
  }
}

/** The bands of so many chips, by what the fit is told of each. */
export function bandsOf(asked: ReadCase, chips: number) {
  const records = Array.from({ length: chips }, (_, index) => readRecord(index, asked));
  return (told: Exclude<keyof ReadRecord, "truthMhz" | "voltageMv">): Banded[] =>
    records.map((record) => bandOfRead(record[told], record));
}

export const heldIn = (bands: readonly Banded[]): Mean => shareOf(bands, ({ held }) => held);

/** How wide the one are against the others, record by record, in the geometric mean. */
export function widthRatio(bands: readonly Banded[], others: readonly Banded[]): number {
  const logs = bands.map(({ widthMhz }, i) => Math.log(widthMhz / others[i]!.widthMhz));
  return Math.exp(logs.reduce((sum, one) => sum + one, 0) / logs.length);
}
