import type { KnobValues } from "../things/asSet.ts";
import type { OutcomeClass } from "../things/outcome.ts";
import { firmwareStatesOf } from "./firmwareStates.ts";
import { type KnobGroup, type KnobOrder, type KnobsAsSet, knobOrderOf, type OrderedKnob } from "./knobs.ts";

/** What of an attempt tells its group; the firmware is null where the build keeps no versions. */
export type Ordered = Readonly<{ knobs: KnobValues | null; firmware?: string | null }>;

/** An attempt, and what is asked and given by it. */
export type Placed = Readonly<{
  row: Ordered & Readonly<{ workloadId: string }>;
  class: OutcomeClass;
  clockMhz: number | null;
  voltageMv: number;
}>;

/** The order of a record's groups, and the group of each attempt. */
export type Groups = Readonly<{ order: KnobOrder; groupOf: (placed: Placed) => KnobGroup }>;

/** Besides the knobs, attempts compare within one state of the firmware alone. */
export const firmwareState = "firmware state";
const asOne: OrderedKnob = { id: firmwareState, harder: "none", belongs: "setting", usual: "" };

export function groupsOf(knobs: readonly OrderedKnob[], placed: readonly Placed[]): Groups {
  const firmwares = new Set<string | null>();
  for (const { row } of placed) firmwares.add(row.firmware ?? null);
  if (firmwares.size <= 1) {
    const order = knobOrderOf(knobs);
    return { order, groupOf: (one) => order.groupOf(asSet(one)) };
  }
  const plain = knobOrderOf(knobs);
  const stateOf = firmwareStatesOf(
    placed.map((one) => ({
      firmware: one.row.firmware ?? null,
      workloadId: one.row.workloadId,
      class: one.class,
      stand:
        one.clockMhz === null
          ? null
          : { asked: one.clockMhz, given: one.voltageMv, group: plain.groupOf(asSet(one)) },
    })),
  );
  const order = knobOrderOf([...knobs, asOne]);
  return {
    order,
    groupOf: (one) => {
      const set = asSet(one);
      const state = stateOf(one.row.firmware ?? null);
      return order.groupOf({ ...set, knobs: { ...set.knobs, [firmwareState]: state } });
    },
  };
}

const asSet = ({ row, clockMhz }: Placed): KnobsAsSet => ({
  knobs: row.knobs,
  clockMhz,
  firmware: row.firmware ?? null,
});
