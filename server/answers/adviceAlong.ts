import { isSearched, type SearchedKnob } from "../bench/scale/knobSearch.ts";
import type { Chip } from "../bench/things/chip.ts";
import type { Journal } from "../store/file/journal.ts";
import type { Advice, AdviceQuestion } from "./advice.ts";
import { knobNextQuestion } from "./knobOfBuild.ts";
import { answerTo } from "./limitOfBuild.ts";
import { offsetNextQuestion } from "./offsetOfBuild.ts";
import type { Reckonings } from "./reckoned.ts";

/** On a chip that is set by offset: what the fit would set next. */
export async function adviceByOffset(
  journal: Journal,
  reckonings: Reckonings,
  { buildId, minutes, workloadId }: AdviceQuestion,
  plain: Advice,
): Promise<Advice> {
  if (plain.byOffset !== null) return plain;
  if ("missing" in plain.proposal && plain.proposal.missing === "workload") return plain;
  const next = await answerTo(reckonings, offsetNextQuestion(journal, { buildId, minutes, workloadId }));
  if ("state" in next) return plain;
  const settled = "settled" in next ? next.because : null;
  return { ...plain, from: "fit", byOffset: next, settled, blocked: next.blocked };
}

/** The knob of that id where it can be looked along. */
export const knobIn = ({ knobs }: Pick<Chip, "knobs">, id: string | null): SearchedKnob | null =>
  knobs.filter(isSearched).find((knob) => knob.id === id) ?? null;

/** Along one knob: what the fit would try next of it. */
export async function adviceByKnob(
  journal: Journal,
  reckonings: Reckonings,
  { buildId, minutes, workloadId }: AdviceQuestion,
  { knob, plain }: Readonly<{ knob: SearchedKnob; plain: Advice }>,
): Promise<Advice> {
  if ("missing" in plain.proposal && plain.proposal.missing === "workload") return plain;
  const asked = { buildId, knobId: knob.id, minutes, workloadId };
  const next = await answerTo(reckonings, knobNextQuestion(journal, asked));
  if ("state" in next) return { ...plain, from: "fit", byKnob: { knob, next }, blocked: [] };
  const settled = "settled" in next ? next.because : null;
  return { ...plain, from: "fit", byKnob: { knob, next }, settled, blocked: next.blocked };
}
