import type { NoProposal, Proposal } from "../../answers/proposal.ts";
import { typedFrom } from "../attemptForm/attemptTyped.ts";
import type { Typed } from "../kit/forms.ts";
import { durationTyped } from "../kit/quantityTyped.ts";

const dialNames = ["clockMhz", "voltageMv", "plannedS", "workloadId"] as const;

/** Common practice, where no setting is proposed and so no rule says. */
const usualMinutes = "15";

/** The dials as a proposal would have them; without a setting to propose, only how long. */
export function dialsTyped(proposal: Proposal | NoProposal): Typed {
  if ("missing" in proposal) return { plannedS: usualMinutes };
  const { clockMhz, voltageMv, workloadId, durationS } = proposal;
  const typed = typedFrom({ clockMhz, voltageMv, workloadId, plannedS: durationS });
  return onlyDials(typed);
}

/** The dials an address or a form says, and nothing else of it; other pages name the duration in minutes. */
export const onlyDials = ({ minutes, ...typed }: Typed): Typed =>
  Object.fromEntries(
    dialNames.flatMap((name) => {
      const value = typed[name] ?? (name === "plannedS" ? minutes : undefined);
      return value === undefined ? [] : [[name, value]];
    }),
  );

export function plannedTyped({ plannedS }: Typed): number | null {
  const seconds = durationTyped(plannedS);
  return seconds === null || Number.isNaN(seconds) ? null : seconds;
}
