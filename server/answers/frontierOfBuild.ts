import { type Frontier, frontierOf } from "../bench/frontier.ts";
import type { Rule } from "../bench/rule.ts";
import type { Workload } from "../bench/workload.ts";
import type { Journal } from "../store/journal.ts";
import { type BuildAsked, type BuildQuestion, buildAsked } from "./buildAsked.ts";

export type FrontierAnswer = Frontier & Readonly<{ rule: Rule; workload: Workload | null }>;

/** The frontier of a build, and the rule and load it is of. */
export const frontierOfBuild = (journal: Journal, question: BuildQuestion): FrontierAnswer =>
  frontierOfAsked(journal, buildAsked(journal, question));

export function frontierOfAsked(journal: Journal, asked: BuildAsked): FrontierAnswer {
  const { build, chip, rule, workloads, workload } = asked;
  const frontier = frontierOf({
    rows: journal.attempts.evidenceOf(build.id),
    chip,
    hottestAmbientC: build.hottestAmbientC,
    requires: rule.requires,
    workloads,
    asked: workload,
  });
  return { rule, workload, ...frontier };
}
