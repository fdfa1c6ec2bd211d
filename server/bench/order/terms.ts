import type { Chip } from "../things/chip.ts";
import type { TriedRow } from "../things/evidenceRow.ts";
import { type OutcomeClass, outcomeClass } from "../things/outcome.ts";
import type { OrderedKnob } from "./knobs.ts";
import type { OffsetMeaning } from "./partsOfRun.ts";

/** What a chip says of the order of its attempts. */
export type OrderTerms = Readonly<{
  knobs: readonly OrderedKnob[];
  /** Settings that software applies may be gone after a reset. */
  appliedBy: "firmware" | "software";
  /** Null where clocks and voltages are set. */
  offset: OffsetMeaning | null;
  /** Each start draws afresh, as a memory's full training does: one that fails says nothing of what came up. */
  startsDraw: boolean;
  /** Below it a failure is the cold's and says nothing of the clock; null where nobody said. */
  coldBelowC: number | null;
}>;

/** Clocks over voltages, and nothing else. */
export const plainTerms: OrderTerms = {
  knobs: [],
  appliedBy: "firmware",
  offset: null,
  startsDraw: false,
  coldBelowC: null,
};

export const orderTermsOf = (
  chip: Pick<
    Chip,
    "kind" | "axis" | "knobs" | "appliedBy" | "offset" | "sharedSupply" | "parts" | "lowestTempC"
  >,
): OrderTerms => ({
  knobs: chip.knobs,
  appliedBy: chip.appliedBy,
  offset:
    chip.axis === "offset" && chip.offset !== null
      ? {
          harder: chip.offset.harder,
          sharedSupply: chip.sharedSupply,
          parts: chip.parts.map(({ name }) => name),
        }
      : null,
  startsDraw: chip.kind === "memory",
  coldBelowC: chip.lowestTempC,
});

/** What an attempt counts as on this chip. */
export function classOn(
  { coldBelowC }: Pick<OrderTerms, "coldBelowC">,
  row: Pick<TriedRow, "outcome" | "lowestTempC">,
): OutcomeClass {
  const kind = outcomeClass(row.outcome);
  const isCold = coldBelowC !== null && row.lowestTempC !== null && row.lowestTempC < coldBelowC;
  return kind === "crash" && isCold ? "nothing" : kind;
}
