import type { OffsetAnswer } from "../bench/scale/offsetAnswer.ts";
import { keptFits } from "./keptFit.ts";

const listOf = ({ parts }: OffsetAnswer): string =>
  JSON.stringify(parts.map(({ part, setting }) => [part, setting?.level ?? null]));

/** Answers of builds set by offset, as they were last fitted. */
export const keptOffsets = keptFits<"byOffset", OffsetAnswer>(
  "byOffset",
  (one, other) => listOf(one) === listOf(other),
);
