import type { BestAnswer } from "../bench/best/bestSetting.ts";
import { type KeptFit, keptFits } from "./keptFit.ts";

export type KeptAnswer = KeptFit<"answer", BestAnswer>;

const isSameSetting = (one: BestAnswer, other: BestAnswer): boolean =>
  one.setting?.clockMhz === other.setting?.clockMhz && one.setting?.voltageMv === other.setting?.voltageMv;

/** Answers of builds set by clock, as they were last fitted. */
export const keptBest = keptFits<"answer", BestAnswer>("answer", isSameSetting);
