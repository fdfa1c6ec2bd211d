import type { ProposalTold } from "../../answers/proposal.ts";
import { type SettingRead, showsInReadings } from "../../bench/runs/settingRead.ts";
import type { Chip } from "../../bench/things/chip.ts";
import type { Typed } from "../kit/forms.ts";
import { settingWords } from "../kit/settingWords.tsx";
import { knobLevelWords } from "./dialledLevel.tsx";
import { dialsTyped, knobDialsTyped, offsetDialsTyped } from "./dials.ts";
import type { Trying } from "./shown.ts";

/** What somebody is asked to set next, whatever the chip is set by. */
export type ToSet = Readonly<{
  /** "4625 MHz at 1.2 V", "−30 mV on core 3", "Power limit 105 %, all else as it was last". */
  words: string;
  /** The bench's form with this on its dials, and with what is carried over from the last attempt. */
  typed: Typed;
  workloadId: string | null;
  durationS: number;
  chanceOfPass: number | null;
  /** What a machine that is set so reads; an offset or a knob shows in neither. */
  asRead: SettingRead;
  /** As an attendant is told it; null where it could not tell it by what it reads. */
  proposal: ProposalTold | null;
}>;

/** What comes before arming: of a chip whose settings software applies, nothing of firmware. */
export const setFirst = ({ appliedBy }: Pick<Chip, "appliedBy">, what: "this" | "these" = "this"): string =>
  `Set ${what}${appliedBy === "firmware" ? " in firmware" : ""}, then arm.`;

const unread: SettingRead = { clockMhz: null, voltageMv: null };

/** Null where nothing is proposed. */
export function toSetNext({ advice, form }: Pick<Trying, "advice" | "form">, chip: Chip): ToSet | null {
  const { proposal, byOffset, byKnob } = advice;
  if (byKnob !== null) {
    if (!("durationS" in byKnob.next)) return null;
    const words = `${knobLevelWords(byKnob.knob, byKnob.next.level)}, all else as it was last`;
    const typed = { ...form.typed, ...knobDialsTyped(advice, chip) };
    return { ...basicsOf(byKnob.next), words, typed, asRead: unread, proposal: null };
  }
  if (byOffset !== null) {
    if (!("durationS" in byOffset)) return null;
    const words = settingWords({ ...unread, ...byOffset }, chip);
    const typed = { ...form.typed, ...offsetDialsTyped(advice) };
    return { ...basicsOf(byOffset), words, typed, asRead: unread, proposal: null };
  }
  if ("missing" in proposal) return null;
  const { clockMhz, voltageMv } = proposal;
  return {
    ...basicsOf(proposal),
    words: settingWords(proposal, chip),
    typed: { ...form.typed, ...dialsTyped(proposal) },
    asRead: showsInReadings(chip) ? { clockMhz, voltageMv } : unread,
    proposal: showsInReadings(chip) ? proposal : null,
  };
}

const basicsOf = ({
  workloadId = null,
  durationS,
  chanceOfPass,
}: Readonly<{ workloadId?: string | null; durationS: number; chanceOfPass: number | null }>) => ({
  workloadId,
  durationS,
  chanceOfPass,
});
