/** What a setting is for. The longer nobody watches, the stricter the target. */
export const uses = ["benchmark", "daily", "unattended"] as const;
export type Use = (typeof uses)[number];

/** What is wanted most of the settings that are good enough. */
export const goals = ["clock", "efficiency", "cool"] as const;
export type Goal = (typeof goals)[number];

/** What a build is after: its one answer is the answer to this. */
export type BuildAim = Readonly<{ use: Use; goal: Goal }>;

export const isSameAim = (one: BuildAim, other: BuildAim): boolean =>
  one.use === other.use && one.goal === other.goal;

export const goalInWords: Readonly<Record<Goal, string>> = {
  clock: "the highest clock",
  efficiency: "the most per watt",
  cool: "the coolest at no less than stock",
};

export const useInWords: Readonly<Record<Use, string>> = {
  benchmark: "a benchmark",
  daily: "daily use",
  unattended: "unattended use",
};

/** What is wanted of a chip that is set by offset, whatever else its build is after. */
export const hardestOffset = "the hardest offset";

/** "the highest clock for daily use"; of a chip that is set by offset, "the hardest offset for daily use". */
export const aimInWords = ({ use, goal }: BuildAim, axis: "clock" | "offset" = "clock"): string =>
  `${axis === "offset" ? hardestOffset : goalInWords[goal]} for ${useInWords[use]}`;
