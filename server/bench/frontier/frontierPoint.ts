import type { Chip } from "../things/chip.ts";
import type { EvidenceRow } from "../things/evidenceRow.ts";
import type { Requirement } from "../things/rule.ts";
import type { Workload } from "../things/workload.ts";
import type { Evidence } from "./frontierEvidence.ts";
import type { MarginReading, MarginState } from "./margin.ts";

export type FrontierQuestion = Readonly<{
  rows: readonly EvidenceRow[];
  chip: Pick<Chip, "tempLimitC" | "warnMarginC">;
  hottestAmbientC: number;
  requires: readonly Requirement[];
  workloads: ReadonlyMap<string, Workload>;
  /** Null: any load. */
  asked: Workload | null;
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
  heldPasses: readonly EvidenceRow[];
  margin: MarginReading;
}>;
