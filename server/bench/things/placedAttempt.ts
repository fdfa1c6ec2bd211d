import type { EvidenceRow } from "./evidenceRow.ts";

/** An attempt on automatic voltage, placed by the voltage read under load and the droop known of its build. */
export type PlacedAttempt = Readonly<{
  /** The attempt, with the voltage that would have to be set to read the same. */
  row: EvidenceRow;
  /** How far its own reading may lie off, one standard deviation in mV. */
  readDeviationMv: number;
  /** How far the droop may, alike for all placed by the same droop, one standard deviation in mV. */
  droopDeviationMv: number;
  /** Names the load, place of reading and load-line of the droop it was placed by. */
  droop: string;
}>;
