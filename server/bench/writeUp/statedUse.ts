import { type BuildAim, isSameAim } from "../things/aim.ts";

/** What the reader wants the machine for; the account recommends a setting for it. Usually it is what each build is after. */
export const statedUses = ["aim", "benchmark", "daily", "quiet", "unattended"] as const;
export type StatedUse = (typeof statedUses)[number];

/** In how few words each is told. */
export const statedUseWords: Readonly<Record<StatedUse, string>> = {
  aim: "what each is after",
  benchmark: "short loads",
  daily: "long loads",
  quiet: "quiet",
  unattended: "unattended",
};

/** Quiet is daily use at the setting that heats least: less heat is less fan. */
const settingAskedFor: Readonly<Record<Exclude<StatedUse, "aim">, BuildAim>> = {
  benchmark: { goal: "clock", use: "benchmark" },
  daily: { goal: "clock", use: "daily" },
  quiet: { goal: "cool", use: "daily" },
  unattended: { goal: "clock", use: "unattended" },
};

/** The question that a use asks of a build with this aim; null where it is the aim itself. */
export const askedBesides = (use: StatedUse, aim: BuildAim): BuildAim | null =>
  use === "aim" || isSameAim(settingAskedFor[use], aim) ? null : settingAskedFor[use];
