import { type ComparedRun, comparedFields } from "./comparedRun.ts";
import { type ElectricalReading, type ElectricalRun, electricalFields } from "./electricalRun.ts";

/** The fields that questions about heat, power and score read. */
export const runFields = [...new Set([...comparedFields, ...electricalFields, "tags"] as const)];

/** What a chip set by offset has of it too: clock and voltage may be unknown. */
export type TaggedRun = ComparedRun & ElectricalReading & Readonly<{ tags: readonly string[] }>;

/** The slim row of them: an attempt that has ended and is not set aside. */
export type RunRow = TaggedRun & ElectricalRun;
