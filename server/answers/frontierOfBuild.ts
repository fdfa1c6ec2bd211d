import { type Frontier, frontierOf } from "../bench/frontier/frontier.ts";
import type { EvidenceRow } from "../bench/things/evidenceRow.ts";
import type { Rule } from "../bench/things/rule.ts";
import type { Workload } from "../bench/things/workload.ts";
import type { Journal } from "../store/file/journal.ts";
import { type BuildAsked, type BuildQuestion, buildAsked } from "./buildAsked.ts";

export type FrontierAnswer = Frontier & Readonly<{ rule: Rule; workload: Workload | null }>;

/** The frontier of a build, and the rule and load it is of. */
export const frontierOfBuild = (journal: Journal, question: BuildQuestion): FrontierAnswer =>
  frontierOfAsked(journal, buildAsked(journal, question));

export function frontierOfAsked(journal: Journal, asked: BuildAsked): FrontierAnswer {
  const { build, chip, rule, workloads, workload } = asked;
  const rows = journal.attempts.evidenceOf(build.id);
  const kept = found.get(rows);
  const terms = [build, chip, rule, workload, ...workloads.values()];
  if (kept && kept.terms.length === terms.length && kept.terms.every((term, i) => term === terms[i]))
    return kept.answer;
  const { hottestAmbientC } = build;
  const frontier = frontierOf({
    rows,
    chip,
    hottestAmbientC,
    requires: rule.requires,
    workloads,
    asked: workload,
  });
  const answer = { rule, workload, ...frontier };
  found.set(rows, { terms, answer });
  return answer;
}

/** The last answer on the same rows: the store gives the same things for as long as nothing in them changed. */
const found = new WeakMap<
  readonly EvidenceRow[],
  Readonly<{ terms: readonly unknown[]; answer: FrontierAnswer }>
>();
