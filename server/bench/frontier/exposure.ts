import { type SurvivalChances, survivalChances } from "./exposureBound.ts";

/** The chances of surviving one hour more and eight; null without exposure. */
export type SurviveHours = Readonly<Record<1 | 8, SurvivalChances | null>>;

/** After `exposureS` seconds without a failure. */
export const surviveHours = (exposureS: number): SurviveHours => ({
  1: survivalChances(exposureS, 0, 1),
  8: survivalChances(exposureS, 0, 8),
});
