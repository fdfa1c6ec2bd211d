import type { Attempt } from "../../bench/things/attempt.ts";
import type { Chip } from "../../bench/things/chip.ts";

/** Where a program applies what is set, it may be gone again: then it is asked about. */
export const isAppliedBySoftware = ({ appliedBy }: Pick<Chip, "appliedBy">): boolean =>
  appliedBy === "software";

const readBackWords = { confirmed: "read back as set", "cannot-tell": "", differs: "had dropped" } as const;

/** What was said of whether the setting stood: "freshly booted, read back as set"; blank where nothing was. */
export const asSetSaid = ({
  freshBoot,
  settingReadBack,
}: Pick<Attempt, "freshBoot" | "settingReadBack">): string =>
  [freshBoot === true ? "freshly booted" : "", settingReadBack === null ? "" : readBackWords[settingReadBack]]
    .filter(Boolean)
    .join(", ");
