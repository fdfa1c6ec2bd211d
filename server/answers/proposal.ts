import { stepDownFrom } from "../bench/next/plainLower.ts";
import { again, type Step, type StepPurpose, stepFrom } from "../bench/next/plainSteps.ts";
import type { EvidenceRow } from "../bench/things/evidenceRow.ts";
import { heaviestOf } from "../bench/things/heaviestWorkload.ts";
import type { Rule } from "../bench/things/rule.ts";
import { megahertz, volts } from "../bench/things/words.ts";
import type { Journal } from "../store/file/journal.ts";
import { type BuildAsked, buildAsked } from "./buildAsked.ts";
import { frontierOfBuild } from "./frontierOfBuild.ts";
import { standingBarsOf } from "./standingBars.ts";

/** One attempt worth making, and why. */
export type Proposal = Readonly<{
  clockMhz: number;
  voltageMv: number;
  workloadId: string;
  durationS: number;
  purpose: StepPurpose;
  because: string;
  /** Null where no model says. */
  chanceOfPass: number | null;
  expectedMinutes: number | null;
}>;

export type NoProposal = Readonly<{ missing: "workload" | "setting"; because: string }>;

/** What to try next on a build, by the plain rule of walking the clock up at one voltage. */
export function proposalFor(journal: Journal, buildId: string): Proposal | NoProposal {
  const asked = buildAsked(journal, { buildId });
  const rows = journal.attempts.evidenceOf(buildId);
  const loaded = rows.filter(
    (row) => asked.workloads.get(row.workloadId)?.kind !== "idle" && row.clockMode !== "boost",
  );
  const last = loaded.at(-1);
  return last === undefined ? firstStep(asked) : nextStep(journal, asked, loaded, last);
}

/** One step down in voltage at a clock, by the same plain rule; null where that clock has not held yet. */
export function lowerProposalFor(journal: Journal, buildId: string, clockMhz: number): Proposal | null {
  const asked = buildAsked(journal, { buildId });
  const last = journal.attempts
    .evidenceOf(buildId)
    .findLast((row) => asked.workloads.get(row.workloadId)?.kind !== "idle" && row.clockMode !== "boost");
  if (last === undefined) return null;
  const step = stepDownFrom(frontierOfBuild(journal, { buildId }).byClock, clockMhz, asked.chip);
  const durationS = step?.durationS ?? ruleDurationS(asked.rule, last.workloadId);
  return step && proposed(step, last.workloadId, durationS);
}

/** The same under what failed: without a fit nothing as hard as a failure is proposed. */
export function clearOfFailures(
  journal: Journal,
  buildId: string,
  proposal: Proposal | NoProposal,
): Proposal | NoProposal {
  if ("missing" in proposal) return proposal;
  const { isBarred } = standingBarsOf(journal, buildId, proposal.workloadId);
  const { clockStepMhz } = buildAsked(journal, { buildId }).chip;
  let { clockMhz } = proposal;
  while (clockMhz > clockStepMhz && isBarred({ ...proposal, clockMhz })) clockMhz -= clockStepMhz;
  if (clockMhz === proposal.clockMhz) return proposal;
  const because = `${megahertz(proposal.clockMhz)} or something no harder failed at ${volts(proposal.voltageMv)}; this lies under it.`;
  return { ...proposal, clockMhz, purpose: "screen", because };
}

function firstStep({ chip, rule, workloads }: BuildAsked): Proposal | NoProposal {
  const workloadId = heaviestOf([...workloads.values()], new Set());
  if (workloadId === null)
    return { missing: "workload", because: "No load is written down yet; say what will load the chip." };
  const { stockClockMhz, stockVoltageMv } = chip;
  if (stockClockMhz === null || stockVoltageMv === null)
    return {
      missing: "setting",
      because: `Nothing was tried yet, and the stock setting of ${chip.name} is not written down: begin where you know it runs.`,
    };
  return proposed(
    {
      clockMhz: stockClockMhz,
      voltageMv: stockVoltageMv,
      purpose: "screen",
      because: "Nothing was tried on this build yet, so begin with the stock setting.",
    },
    workloadId,
    ruleDurationS(rule, workloadId),
  );
}

function nextStep(
  journal: Journal,
  asked: BuildAsked,
  rows: readonly EvidenceRow[],
  last: EvidenceRow,
): Proposal {
  const { chip, rule } = asked;
  const named = rule.requires.some((wanted) => wanted.workloadId !== null);
  const workloadId = last.workloadId;
  const { points } = frontierOfBuild(journal, {
    buildId: asked.build.id,
    workloadId: named ? null : workloadId,
  });
  const point = points.find((one) => one.voltageMv === last.voltageMv);
  const durationS = ruleDurationS(rule, workloadId);
  if (point === undefined) return proposed(again(last), workloadId, durationS);
  const step = stepFrom({ chip, rows, last, points, point });
  return proposed(step, workloadId, step.durationS ?? durationS);
}

const proposed = (step: Step, workloadId: string, durationS: number): Proposal => ({
  durationS,
  ...step,
  workloadId,
  chanceOfPass: null,
  expectedMinutes: null,
});

/** As long as the rule asks of this load; the longest of what it asks where it asks several. */
function ruleDurationS({ requires }: Rule, workloadId: string): number {
  const asked = requires.filter((one) => one.workloadId === null || one.workloadId === workloadId);
  return Math.max(...(asked.length > 0 ? asked : requires).map(({ durationS }) => durationS));
}
