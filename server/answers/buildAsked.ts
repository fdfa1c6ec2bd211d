import type { Build } from "../bench/things/build.ts";
import type { Chip } from "../bench/things/chip.ts";
import { invalid, missing } from "../bench/things/refusal.ts";
import { type Rule, standardRuleId } from "../bench/things/rule.ts";
import type { Workload } from "../bench/things/workload.ts";
import type { Journal } from "../store/file/journal.ts";

export type BuildQuestion = Readonly<{
  buildId: string;
  ruleId?: string | null | undefined;
  workloadId?: string | null | undefined;
}>;

/** A build with what the questions about it need. */
export type BuildAtHand = Readonly<{
  build: Build;
  chip: Chip;
  rule: Rule;
  workloads: ReadonlyMap<string, Workload>;
  workload: Workload | null;
}>;

/** The build asked about, the rule it is judged by (asked, else its own, else the standard one), and the load. */
export function buildAsked(journal: Journal, question: BuildQuestion): BuildAtHand {
  const build = journal.builds.find(question.buildId);
  if (!build) throw missing("build");
  const chip = journal.chips.find(build.chipId);
  const rule = journal.rules.find(question.ruleId ?? build.ruleId ?? standardRuleId);
  if (!rule)
    throw invalid("There is no such acceptance rule.", { rule: "There is no such acceptance rule." });
  if (!chip) throw missing("chip");
  const workloads = new Map(journal.workloads.all().map((workload) => [workload.id, workload]));
  const workload = question.workloadId ? workloads.get(question.workloadId) : null;
  if (workload === undefined) throw invalid("There is no such load.", { workload: "There is no such load." });
  return { build, chip, rule, workloads, workload };
}
