import { type AutomaticPoint, automaticFrontierOf } from "../bench/frontier/automaticFrontier.ts";
import type { OrderedTry } from "../bench/frontier/evidence.ts";
import { type Frontier, frontierOf } from "../bench/frontier/frontier.ts";
import type { FrontierQuestion } from "../bench/frontier/frontierPoint.ts";
import { type OffsetFrontier, offsetFrontierOf } from "../bench/frontier/offsetFrontier.ts";
import { type HotspotOverEdge, hotspotInWords, hotspotOverEdge } from "../bench/heat/hotspotOverEdge.ts";
import { orderTermsOf } from "../bench/order/terms.ts";
import type { TriedRow } from "../bench/things/evidenceRow.ts";
import type { Rule } from "../bench/things/rule.ts";
import { isSetByClock } from "../bench/things/setting.ts";
import type { Workload } from "../bench/things/workload.ts";
import type { Journal } from "../store/file/journal.ts";
import { type BuildAtHand, type BuildQuestion, buildAsked } from "./buildAsked.ts";
import { underFirmware } from "./underFirmware.ts";

export type FrontierAnswer = Frontier &
  Readonly<{
    rule: Rule;
    workload: Workload | null;
    /** On a chip that is set by offset: how far each part goes, and whether the list ran together. */
    byOffset: OffsetFrontier | null;
    /** How far the clock goes on automatic voltage. */
    automatic: AutomaticPoint | null;
    /** How far the hotspot stands above the main place, and whether that grew on this mount; null where it was not read. */
    hotspot: (HotspotOverEdge & Readonly<{ words: string }>) | null;
  }>;

/** The frontier of a build, and the rule and load it is of. */
export const frontierOfBuild = (journal: Journal, question: BuildQuestion): FrontierAnswer =>
  frontierOfAsked(journal, buildAsked(journal, question));

export function frontierOfAsked(journal: Journal, asked: BuildAtHand): FrontierAnswer {
  const { build, chip, rule, workloads, workload } = asked;
  const rows = journal.attempts.triedOf(build.id);
  const versions = journal.versions.allOf(build.id);
  const kept = found.get(rows);
  const terms = [build, chip, rule, workload, ...workloads.values(), ...versions];
  if (kept && kept.terms.length === terms.length && kept.terms.every((term, i) => term === terms[i]))
    return kept.answer;
  const answer = { rule, workload, ...frontiersOf(journal, asked, rows) };
  found.set(rows, { terms, answer });
  return answer;
}

type Frontiers = Omit<FrontierAnswer, "rule" | "workload">;

function frontiersOf(journal: Journal, asked: BuildAtHand, rows: readonly TriedRow[]): Frontiers {
  const { build, chip, rule, workloads, workload } = asked;
  const terms = orderTermsOf(chip);
  const question: FrontierQuestion<OrderedTry> = {
    rows: underFirmware(journal, build.id, rows),
    chip,
    hottestAmbientC: build.hottestAmbientC,
    requires: rule.requires,
    workloads,
    asked: workload,
    terms,
  };
  const isOffset = terms.offset !== null;
  const byClock = isOffset
    ? []
    : question.rows === rows
      ? journal.attempts.evidenceOf(build.id)
      : question.rows.filter(isSetByClock);
  const hotspot = hotspotOverEdge(rows);
  return {
    ...frontierOf({ ...question, rows: byClock }),
    hotspot: hotspot && { ...hotspot, words: hotspotInWords(hotspot, chip.mainPlace) },
    byOffset: terms.offset === null ? null : offsetFrontierOf(question, terms.offset),
    automatic: isOffset ? null : automaticFrontierOf(question),
  };
}

/** The last answer on the same rows: the store gives the same things for as long as nothing in them changed. */
const found = new WeakMap<
  readonly TriedRow[],
  Readonly<{ terms: readonly unknown[]; answer: FrontierAnswer }>
>();
