import type { Journal } from "../store/file/journal.ts";
import { type Advice, type AdviceQuestion, withoutFit } from "./advice.ts";
import { sameAgain } from "./contested.ts";
import { offsetBegun } from "./offsetOfBuild.ts";
import {
  clearOfBars,
  lowerProposalFor,
  type NoProposal,
  type ProposalTold,
  proposalFor,
} from "./proposal.ts";

/** A search that was over is not begun anew by the plain rule while the record is weighed. */
export const keptBenchAdvice: Advice = withoutFit({
  missing: "fit",
  because:
    "Until the whole record is weighed, the answer stands as it was kept, and no other step is proposed.",
});

type PlainQuestion = Pick<AdviceQuestion, "buildId" | "aim" | "clockMhz" | "again" | "workloadId">;

/** The plain rule's next step, for while no fit is there or can be. */
export const plainBenchAdvice = (journal: Journal, asked: PlainQuestion): Advice => ({
  ...withoutFit(plainProposal(journal, asked)),
  byOffset: offsetBegun(journal, asked),
});

/** A walk by plain steps follows the acceptance rule to the letter; all else keeps clear of what failed. */
function plainProposal(journal: Journal, asked: PlainQuestion): ProposalTold | NoProposal {
  const { buildId, aim } = asked;
  const again = asked.again === null ? null : sameAgain(journal, asked.again);
  if (again !== null) return again;
  const heldMhz = clockToHold(asked);
  const lower = heldMhz === null ? null : lowerProposalFor(journal, buildId, heldMhz);
  const proposal = lower ?? proposalFor(journal, buildId);
  const underLoad =
    "missing" in proposal ? proposal : { ...proposal, workloadId: asked.workloadId ?? proposal.workloadId };
  return aim === "steps" ? underLoad : clearOfBars(journal, buildId, underLoad);
}

/** The clock to hold with less voltage, where that is what is looked for. */
const clockToHold = ({ aim, clockMhz }: Pick<AdviceQuestion, "aim" | "clockMhz">): number | null =>
  aim === "voltage" ? clockMhz : null;
