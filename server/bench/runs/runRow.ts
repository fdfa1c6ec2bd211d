import type { ComparedRun } from "./comparedRun.ts";
import type { ElectricalRun } from "./electricalRun.ts";

/** The slim row that questions about heat, power and score read: an attempt that has ended and is not set aside. */
export type RunRow = ComparedRun & ElectricalRun & Readonly<{ tags: readonly string[] }>;
