import { bandOn, knobRecord, stepOn } from "./knobCoverage.ts";
import { percent, shareOf } from "./statistics.ts";
import type { Table } from "./table.ts";

/** What attempts with another value of a knob teach, and what a step of it buys. */
export function knobParts(table: Table, { seed, chips }: Readonly<{ seed: number; chips: number }>): void {
  const records = (share?: number) =>
    Array.from({ length: chips }, (_, index) =>
      knobRecord(index, { seed, elsewhere: 9, here: 5, ...(share !== undefined && { share }) }),
    );
  const drawn = records();
  const banded = (of: "context" | "blind" | "without") =>
    shareOf(drawn, (record) => bandOn(record[of], record.truthMhz).held);
  const own = banded("context");
  table.promise(
    "knobs: 90 % band of the limit as set now holds it",
    percent(own),
    "86 to 96 %",
    own.mean >= 0.86 && own.mean <= 0.96,
  );
  table.figure("for comparison, taken as though the knob did not matter", percent(banded("blind")));
  table.figure("for comparison, by the order alone", percent(banded("without")));
  const steps = drawn.map(({ context, buysMhz }) => ({ buysMhz, step: stepOn(context) }));
  const held = shareOf(
    steps,
    ({ step, buysMhz }) => step !== null && step.low <= buysMhz && buysMhz <= step.high,
  );
  table.promise("knobs: 95 % interval of a step holds it", percent(held), "93 %", held.mean >= 0.93);
  const apart = (share: number) =>
    shareOf(records(share), ({ context }) => stepOn(context)?.verdict === "differs");
  const none = apart(0);
  table.promise("knobs: a step that does nothing is told apart", percent(none), "5 %", none.mean <= 0.05);
  table.figure("knobs: a step of a knob worth 5 % over the range is told apart", percent(apart(0.05)));
}
