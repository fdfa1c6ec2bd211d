import type { BuildAim } from "../things/aim.ts";

/** What the reader wants the machine for; the account recommends a setting for it. */
export const statedUses = ["benchmark", "daily", "quiet", "unattended"] as const;
export type StatedUse = (typeof statedUses)[number];

/** In how few words each is told. */
export const statedUseWords: Readonly<Record<StatedUse, string>> = {
  benchmark: "short loads",
  daily: "long loads",
  quiet: "quiet",
  unattended: "unattended",
};

/** Quiet is daily use at the setting that heats least: less heat is less fan. */
export const settingAskedFor: Readonly<Record<StatedUse, BuildAim>> = {
  benchmark: { goal: "clock", use: "benchmark" },
  daily: { goal: "clock", use: "daily" },
  quiet: { goal: "cool", use: "daily" },
  unattended: { goal: "clock", use: "unattended" },
};
