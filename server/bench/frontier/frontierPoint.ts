import type { KnobGroup } from "../order/knobs.ts";
import type { OrderTerms } from "../order/terms.ts";
import type { KnobValues } from "../things/asSet.ts";
import type { Chip } from "../things/chip.ts";
import type { TriedRow } from "../things/evidenceRow.ts";
import type { Requirement } from "../things/rule.ts";
import type { Workload } from "../things/workload.ts";
import type { OrderedRow, OrderedTry } from "./evidence.ts";
import type { Evidence } from "./frontierEvidence.ts";
import type { HeatLimits, MarginReading, MarginState } from "./margin.ts";

export type FrontierQuestion<Row extends OrderedTry = OrderedRow> = Readonly<{
  rows: readonly Row[];
  chip: HeatLimits & Pick<Chip, "clockUnit">;
  hottestAmbientC: number;
  requires: readonly Requirement[];
  workloads: ReadonlyMap<string, Workload>;
  /** Null: any load. */
  asked: Workload | null;
  /** What else the chip's attempts are ordered by; clocks over voltages alone where nothing is said. */
  terms?: OrderTerms;
}>;

/** How far one voltage goes; null where nothing is known. */
export type FrontierPoint = Readonly<{
  voltageMv: number;
  highestPassedMhz: number | null;
  heldMhz: number | null;
  impliedMhz: number | null;
  lowestCrashMhz: number | null;
  gapMhz: number | null;
  evidence: Evidence;
  loadTempC: number | null;
  marginC: number | null;
  margin: MarginState;
  contested: readonly string[];
  /** How the knobs that belong to the setting stood where it holds; null where nothing holds or no such knob is kept. */
  knobs: KnobsSet | null;
}>;

export type KnobsSet = KnobValues;

/** What one way of setting the knobs did by itself, at every voltage it was tried at. */
export type KnobFrontier = Readonly<{
  knobs: KnobsSet;
  points: readonly Pick<FrontierPoint, "voltageMv" | "highestPassedMhz" | "heldMhz" | "lowestCrashMhz">[];
}>;

/** The same record read along the clocks: the lowest voltage that held each. */
export type ClockPoint = Readonly<{
  clockMhz: number;
  heldMv: number | null;
  lowestPassedMv: number | null;
  highestCrashMv: number | null;
}>;

/** What one voltage says by itself, before lower voltages are asked. */
export type VoltageReading = Readonly<{
  voltageMv: number;
  heldMhz: number | null;
  /** How the knobs stood where it holds. */
  group: KnobGroup | null;
  heldPasses: readonly TriedRow[];
  margin: MarginReading;
}>;
