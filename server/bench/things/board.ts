import * as z from "zod";
import type { Kept } from "./thing.ts";
import { count, currentA, name, note, temperatureC, text } from "./units.ts";

export const boardDraft = z.strictObject({
  name,
  formFactor: text(60).nullish(),
  corePhases: count("The number of phases", 64).nullish(),
  phaseRatingA: currentA.nullish(),
  supplyTempLimitC: temperatureC.nullish(),
  note: note.nullish(),
});
export type BoardDraft = z.infer<typeof boardDraft>;

/** The motherboard or card that feeds the chip. */
export type Board = Kept &
  Readonly<{
    name: string;
    formFactor: string | null;
    corePhases: number | null;
    phaseRatingA: number | null;
    supplyTempLimitC: number | null;
    note: string;
  }>;

export const boardFrom = (draft: BoardDraft): Omit<Board, keyof Kept> => ({
  name: draft.name,
  formFactor: draft.formFactor ?? null,
  corePhases: draft.corePhases ?? null,
  phaseRatingA: draft.phaseRatingA ?? null,
  supplyTempLimitC: draft.supplyTempLimitC ?? null,
  note: draft.note ?? "",
});
