import { tooWarmNote } from "../bench/next/nextWords.ts";
import { stepDownFrom } from "../bench/next/plainLower.ts";
import { again, type Step, type StepPurpose, stepFrom } from "../bench/next/plainSteps.ts";
import type { Chip } from "../bench/things/chip.ts";
import { stepAbove, stepBelow } from "../bench/things/clockSteps.ts";
import type { EvidenceRow } from "../bench/things/evidenceRow.ts";
import { heaviestOf } from "../bench/things/heaviestWorkload.ts";
import type { Rule } from "../bench/things/rule.ts";
import type { Setting } from "../bench/things/setting.ts";
import { clockWords, volts } from "../bench/things/words.ts";
import { suitsChip } from "../bench/things/workload.ts";
import type { Journal } from "../store/file/journal.ts";
import { type BuildAtHand, buildAsked } from "./buildAsked.ts";
import { frontierOfBuild } from "./frontierOfBuild.ts";
import { type StandingBars, standingBarsOf } from "./standingBars.ts";

/** One attempt worth making, and why. */
export type ProposalTold = Readonly<{
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

export type NoProposal = Readonly<{ missing: "workload" | "setting" | "offset" | "fit"; because: string }>;

/** What to try next on a build, by the plain rule of walking the clock up at one voltage. */
export function proposalFor(journal: Journal, buildId: string): ProposalTold | NoProposal {
  const asked = buildAsked(journal, { buildId });
  if (asked.chip.axis === "offset") return offsetToChoose(asked);
  const rows = journal.attempts.evidenceOf(buildId);
  const loaded = rows.filter(
    (row) => asked.workloads.get(row.workloadId)?.kind !== "idle" && row.clockMode !== "boost",
  );
  const last = loaded.at(-1);
  return last === undefined ? firstStep(asked) : nextStep(journal, asked, loaded, last);
}

/** One step down in voltage at a clock, by the same plain rule; null where that clock has not held yet. */
export function lowerProposalFor(journal: Journal, buildId: string, clockMhz: number): ProposalTold | null {
  const asked = buildAsked(journal, { buildId });
  const last = journal.attempts
    .evidenceOf(buildId)
    .findLast((row) => asked.workloads.get(row.workloadId)?.kind !== "idle" && row.clockMode !== "boost");
  if (last === undefined) return null;
  const step = stepDownFrom(frontierOfBuild(journal, { buildId }).byClock, clockMhz, asked.chip);
  const durationS = step?.durationS ?? ruleDurationS(asked.rule, last.workloadId);
  return step && proposed(step, last.workloadId, durationS);
}

/**
 * The same under what failed and what runs too warm: without a fit nothing is proposed that cannot become the answer. Where
 * heat leaves less at its voltage than a lower one has held, the search goes on there.
 */
export function clearOfBars(
  journal: Journal,
  buildId: string,
  proposal: ProposalTold | NoProposal,
): ProposalTold | NoProposal {
  if ("missing" in proposal) return proposal;
  const { chip } = buildAsked(journal, { buildId });
  const bars = standingBarsOf(journal, buildId, proposal.workloadId);
  const here = clearAt(proposal, bars, chip);
  if (here.because === null) return proposal;
  const cooler = here.isWarm
    ? coolerStep(journal, buildId, { ...proposal, clockMhz: here.clockMhz }, bars, chip)
    : null;
  const because = cooler
    ? `${here.because} A lower voltage has held more than that leaves.`
    : `${here.because} This lies under it.`;
  return { ...proposal, ...(cooler ?? { clockMhz: here.clockMhz }), purpose: "screen", because };
}

/** The highest clock from one down that nothing speaks against, and what spoke against the first. */
function clearAt(
  { clockMhz: first, voltageMv }: Setting,
  { isBarred, whyTooWarm }: StandingBars,
  chip: Chip,
): Readonly<{ clockMhz: number; because: string | null; isWarm: boolean }> {
  const { clockUnit } = chip;
  let clockMhz = first;
  let because: string | null = null;
  let isWarm = false;
  while (stepBelow(clockMhz, chip) > 0) {
    const tooWarm = whyTooWarm({ clockMhz, voltageMv });
    const against = isBarred({ clockMhz, voltageMv })
      ? `${clockWords(first, clockUnit)} or something no harder failed at ${volts(voltageMv)}.`
      : tooWarm && tooWarmNote({ clockMhz, voltageMv }, tooWarm, clockUnit);
    if (against === null) break;
    isWarm ||= tooWarm !== null;
    because ??= against;
    clockMhz = stepBelow(clockMhz, chip);
  }
  return { clockMhz, because, isWarm };
}

/** One step over what the highest lower voltage held that nothing speaks against, where that is more than is left here. */
function coolerStep(
  journal: Journal,
  buildId: string,
  { clockMhz, voltageMv, workloadId }: ProposalTold,
  bars: StandingBars,
  chip: Chip,
): Setting | null {
  const { points } = frontierOfBuild(journal, { buildId, workloadId });
  for (const point of points.toReversed()) {
    const { heldMhz } = point;
    if (point.voltageMv >= voltageMv || heldMhz === null || heldMhz <= clockMhz) continue;
    const setting = { clockMhz: stepAbove(heldMhz, chip), voltageMv: point.voltageMv };
    const clear = clearAt(setting, bars, chip);
    if (clear.clockMhz >= heldMhz) return { ...setting, clockMhz: clear.clockMhz };
  }
  return null;
}

/** Along an offset the tester turns the dial: it stands where it last stood. */
function offsetToChoose({ workloads }: BuildAtHand): NoProposal {
  if (workloads.size === 0)
    return { missing: "workload", because: "No load is written down yet; say what will load the chip." };
  return {
    missing: "offset",
    because: "One step harder after a pass that was long enough, one step back after a failure.",
  };
}

/** Whether nothing was run under load on a build yet: idling says nothing of what it does. */
export const isUntried = (journal: Journal, { build, workloads }: BuildAtHand): boolean =>
  journal.attempts.triedOf(build.id).every(({ workloadId }) => workloads.get(workloadId)?.kind === "idle");

/** Under what, and for how long, the first attempt of a build runs; null where no load is written down. */
export function firstRunOf({ chip, rule, workloads }: BuildAtHand): FirstRun | null {
  const all = [...workloads.values()];
  const suited = all.filter((load) => suitsChip(load, chip.kind));
  const workloadId = heaviestOf(suited.length > 0 ? suited : all, new Set());
  return workloadId === null ? null : { workloadId, durationS: ruleDurationS(rule, workloadId) };
}

export type FirstRun = Readonly<{ workloadId: string; durationS: number }>;

function firstStep(asked: BuildAtHand): ProposalTold | NoProposal {
  const { chip } = asked;
  const run = firstRunOf(asked);
  if (run === null)
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
    run.workloadId,
    run.durationS,
  );
}

function nextStep(
  journal: Journal,
  asked: BuildAtHand,
  rows: readonly EvidenceRow[],
  last: EvidenceRow,
): ProposalTold {
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

const proposed = (step: Step, workloadId: string, durationS: number): ProposalTold => ({
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
