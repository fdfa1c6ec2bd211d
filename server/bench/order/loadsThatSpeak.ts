import type { OutcomeClass } from "../things/outcome.ts";
import { speaksOf, type Workload, type WorkloadKind } from "../things/workload.ts";

/** An offset moves a whole curve: a load on all parts runs at its low end and never sees where these run. */
const elsewhereOnCurve: ReadonlySet<WorkloadKind> = new Set([
  "single-core",
  "idle",
  "transition",
  "memory",
  "graphics",
]);

export type LoadQuestion = Readonly<{
  /** The load asked about; null for any. */
  asked: Workload | null;
  /** Whether the setting searched is an offset, so that each load runs elsewhere on the curve. */
  alongCurve: boolean;
}>;

/** Why an attempt is not looked at; null where it speaks. */
export type Silence = "idle" | "otherWorkload";

/**
 * Whether an attempt under a load speaks of the load asked about: that load and heavier ones; where none is named all but
 * idling. A pass at idle says nothing of any load; a crash there counts for all, since nothing easier can be asked of the
 * chip.
 */
export function silenceOf(
  load: Workload | undefined,
  outcome: OutcomeClass,
  { asked, alongCurve }: LoadQuestion,
): Silence | null {
  if (load === undefined) return "idle";
  if (load.kind === "idle") return outcome === "crash" ? null : "idle";
  if (asked === null) return null;
  if (!speaksOf(load, asked)) return "otherWorkload";
  return alongCurve && isElsewhere(load, asked) && outcome !== "crash" ? "otherWorkload" : null;
}

/** Whether a load holds the chip to another stretch of its curve than the load asked about. */
export const isElsewhere = (load: Workload, asked: Workload): boolean =>
  load.kind === "all-core" && elsewhereOnCurve.has(asked.kind);
