import type { OutcomeClass } from "../things/outcome.ts";
import type { KnobGroup } from "./knobs.ts";

/** What was asked of the chip and what it was given for it, with its knobs. */
type Stand = Readonly<{ asked: number; given: number; group: KnobGroup }>;

type Dated = Readonly<{
  firmware: string | null;
  workloadId: string;
  class: OutcomeClass;
  stand: Stand | null;
}>;

/**
 * Which firmware's attempts count together: an update starts new evidence until one setting was repeated with the same
 * end under the same load. Gives for each firmware the name of its state; attempts compare within a state alone.
 */
export function firmwareStatesOf(trials: readonly Dated[]): (firmware: string | null) => string {
  const names = [...new Set(trials.map(({ firmware }) => firmware ?? ""))];
  const parent = new Map(names.map((name) => [name, name]));
  const rootOf = (name: string): string => {
    const above = parent.get(name) ?? name;
    return above === name ? name : rootOf(above);
  };
  if (names.length > 1) {
    const seenUnder = new Map<string, string>();
    for (const { firmware, workloadId, class: kind, stand } of trials) {
      if (stand === null || (kind !== "pass" && kind !== "crash")) continue;
      const same = `${kind} ${workloadId} ${stand.asked} ${stand.given} ${stand.group.index}`;
      const other = seenUnder.get(same);
      if (other === undefined) seenUnder.set(same, firmware ?? "");
      else parent.set(rootOf(firmware ?? ""), rootOf(other));
    }
  }
  return (firmware) => rootOf(firmware ?? "");
}
