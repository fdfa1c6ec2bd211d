import type { Advice } from "../../answers/advice.ts";
import type { BuildAnswer } from "../../answers/answerOf.ts";
import type { NoProposal, ProposalTold } from "../../answers/proposal.ts";
import type { Attempt } from "../../bench/things/attempt.ts";
import type { Chip } from "../../bench/things/chip.ts";
import { typedFrom } from "../attemptForm/attemptTyped.ts";
import type { Typed } from "../kit/forms.ts";
import { knobField, knobsWritten, timingsField } from "../kit/knobTyped.ts";
import { durationTyped } from "../kit/quantityTyped.ts";

const dialNames = ["clockMhz", "voltageMv", "plannedS", "workloadId", "offset", "offsets", "part"] as const;

/** Common practice, where no setting is proposed and so no rule says. */
const usualMinutes = "15";

/** The dials as a proposal would have them; without a setting to propose, only how long. */
export function dialsTyped(proposal: ProposalTold | NoProposal): Typed {
  if ("missing" in proposal) return { plannedS: usualMinutes };
  const { clockMhz, voltageMv, workloadId, durationS } = proposal;
  const typed = typedFrom({ clockMhz, voltageMv, workloadId, plannedS: durationS });
  return onlyDials(typed);
}

const provingS = 3600;

/** The dials at the setting to run, for an hour: as its proof would have them. */
export function dialsAtAnswer({ setting, byOffset }: Pick<BuildAnswer, "setting" | "byOffset">): Typed {
  if (byOffset !== null) return { ...listTyped(byOffset), plannedS: String(provingS / 60) };
  if (setting === null) return { plannedS: usualMinutes };
  const { clockMhz, voltageMv, workloadId } = setting;
  return onlyDials(
    typedFrom({ clockMhz, voltageMv, ...(workloadId !== null && { workloadId }), plannedS: provingS }),
  );
}

/** The dials as a part's next offset would have them, or the whole list where all are to run together. */
export function offsetDialsTyped({ byOffset }: Pick<Advice, "byOffset">): Typed {
  if (byOffset === null || "state" in byOffset) return {};
  if ("settled" in byOffset) return { ...listTyped(byOffset.settled), plannedS: String(provingS / 60) };
  const { part, offset, offsets, workloadId, durationS } = byOffset;
  const { plannedS } = typedFrom({ plannedS: durationS });
  const ofPart = part === null ? offset : (offsets?.[part] ?? null);
  const typed = typedFrom({ offset: ofPart, offsets: part === null ? offsets : null, part });
  return {
    ...{ offset: typed.offset, offsets: typed.offsets, part: typed.part },
    ...(plannedS && { plannedS }),
    ...(workloadId && { workloadId }),
  };
}

/** Nothing is left to find: the dials stand at what is to run. */
function listTyped({
  offset,
  offsets,
}: Readonly<{ offset: number | null; offsets: Attempt["offsets"] }>): Typed {
  const typed = typedFrom({ offset, offsets, part: null });
  return { offset: typed.offset, offsets: typed.offsets, part: typed.part };
}

/** The dials as a knob's next value would have them, all else as the latest attempt had it. */
export function knobDialsTyped({ byKnob }: Pick<Advice, "byKnob">, chip: Chip): Typed {
  if (byKnob === null || !("durationS" in byKnob.next)) return {};
  const { knob, next } = byKnob;
  const { plannedS } = typedFrom({ plannedS: next.durationS });
  return {
    ...knobsWritten(chip, { ...next.allElse?.knobs, [knob.id]: next.level }),
    ...(plannedS && { plannedS }),
    ...(next.workloadId && { workloadId: next.workloadId }),
  };
}

const offsetNames = ["offset", "offsets", "part"] as const;

/**
 * The dials an address or a form says, and nothing else of it; other pages name the duration in minutes. An offset is
 * named whole: of it, its part and the list what is not said is blank.
 */
export const onlyDials = ({ minutes, ...typed }: Typed): Typed =>
  Object.fromEntries([
    ...(offsetNames.some((name) => typed[name] !== undefined) ? offsetNames.map((name) => [name, ""]) : []),
    ...dialNames.flatMap((name) => {
      const value = typed[name] ?? (name === "plannedS" ? minutes : undefined);
      return value === undefined ? [] : [[name, value]];
    }),
    ...Object.entries(typed).filter(([name]) => name === timingsField || name.startsWith(knobField(""))),
  ]);

export function plannedTyped({ plannedS }: Typed): number | null {
  const seconds = durationTyped(plannedS);
  return seconds === null || Number.isNaN(seconds) ? null : seconds;
}
