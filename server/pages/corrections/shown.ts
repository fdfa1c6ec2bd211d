import { sameValue } from "../../actions/correctMany.ts";
import type { Attempt } from "../../bench/things/attempt.ts";
import type { Build } from "../../bench/things/build.ts";
import type { Chip } from "../../bench/things/chip.ts";
import { type CorrectableField, correctedValue } from "../../bench/things/correction.ts";
import { missing } from "../../bench/things/refusal.ts";
import { isId } from "../../bench/things/units.ts";
import type { Workload } from "../../bench/things/workload.ts";
import type { Journal } from "../../store/file/journal.ts";
import type { FormState, Typed } from "../kit/forms.ts";
import { type Corrigible, corrigiblesOf } from "./corrigible.ts";

export const pickName = (id: string): string => `pick-${id}`;
const attemptsShown = 200;

/** What a correction does to one attempt, in words; equal where it changes nothing. */
export type CorrectedAttempt = Readonly<{ attempt: Attempt; before: string; after: string }>;

/** What was tried one after another; named by its newest attempt. */
type Evening = Readonly<{ newestId: string; startedAt: string; ids: readonly string[] }>;

export type CorrectionsShown = Readonly<{
  build: Build;
  chip: Chip;
  workloads: readonly Workload[];
  attempts: readonly Attempt[];
  /** The newest first; any can be chosen whole. */
  evenings: readonly Evening[];
  corrigibles: readonly Corrigible[];
  /** What is to be corrected. */
  chosen: Corrigible | null;
  form: FormState;
  /** Null until it was asked what a correction does. */
  changes: readonly CorrectedAttempt[] | null;
  /** What was just corrected, and can be undone. */
  done: Readonly<{ at: string; attempts: number; of: Corrigible }> | null;
  once: string;
}>;

export const picked = (typed: Typed): readonly string[] =>
  Object.keys(typed).flatMap((name) => {
    const id = name.startsWith("pick-") ? name.slice(5) : "";
    return isId(id) ? [id] : [];
  });

export function correctionsShown(
  journal: Journal,
  buildId: string,
  now: string,
  asked: Readonly<{
    /** What is to be corrected, as the form calls it. */
    name: string | null;
    form: FormState;
    value?: unknown;
    changed?: string | null;
    /** The newest attempt of an evening to choose whole. */
    evening?: string | null;
  }>,
): CorrectionsShown {
  const build = journal.builds.find(buildId);
  const chip = build && journal.chips.find(build.chipId);
  if (!build || !chip) throw missing("build");
  const workloads = journal.workloads.all();
  const attempts = journal.attempts
    .pageOf(build.id, { limit: attemptsShown, after: null })
    .items.filter(({ outcome }) => outcome !== "running");
  const corrigibles = corrigiblesOf(chip, workloads);
  const chosen = corrigibles.find(({ name }) => name === asked.name) ?? null;
  const evenings = eveningsOf(attempts);
  const whole = evenings.find(({ newestId }) => newestId === asked.evening);
  const form = whole === undefined ? asked.form : withPicked(asked.form, whole.ids);
  const changes =
    chosen === null || asked.value === undefined
      ? null
      : changesTo(chosen, asked.value, attemptsPicked(attempts, form));
  const done = asked.changed && chosen ? doneAt(journal, build.id, asked.changed, chosen) : null;
  return {
    build,
    chip,
    workloads,
    attempts,
    evenings,
    corrigibles,
    chosen,
    form,
    changes,
    done,
    once: journal.newId(now),
  };
}

const attemptsPicked = (attempts: readonly Attempt[], { typed }: FormState): readonly Attempt[] => {
  const ids = new Set(picked(typed));
  return attempts.filter(({ id }) => ids.has(id));
};

const changesTo = (
  { field, words }: Corrigible,
  value: unknown,
  attempts: readonly Attempt[],
): readonly CorrectedAttempt[] =>
  attempts.map((attempt) => {
    const corrected = { ...attempt, [field]: correctedValue(field, attempt[field], value) };
    const before = words(attempt, value);
    const isAsBefore = sameValue(attempt[field], corrected[field]);
    return { attempt, before, after: isAsBefore ? before : words(corrected, value) };
  });

/** Nothing begun for so long, and another evening begins. */
const eveningEndsMs = 6 * 3_600_000;

function eveningsOf(newestFirst: readonly Attempt[]): Evening[] {
  const evenings: { newestId: string; startedAt: string; ids: string[] }[] = [];
  for (const { id, startedAt } of newestFirst) {
    const last = evenings.at(-1);
    if (last === undefined || Date.parse(last.startedAt) - Date.parse(startedAt) > eveningEndsMs)
      evenings.push({ newestId: id, startedAt, ids: [id] });
    else {
      last.startedAt = startedAt;
      last.ids.push(id);
    }
  }
  return evenings;
}

const withPicked = (form: FormState, ids: readonly string[]): FormState => ({
  ...form,
  typed: { ...form.typed, ...Object.fromEntries(ids.map((id) => [pickName(id), "yes"])) },
});

function doneAt(journal: Journal, buildId: string, at: string, of: Corrigible): CorrectionsShown["done"] {
  const attempts = correctedAt(journal, buildId, at, of.field).length;
  return attempts === 0 ? null : { at, attempts, of };
}

/** The attempts of a build whose field was changed at that moment and not since. */
export const correctedAt = (
  journal: Journal,
  buildId: string,
  at: string,
  field: CorrectableField,
): readonly string[] => {
  if (Number.isNaN(Date.parse(at))) return [];
  const edited = journal.attempts.editedAt(at);
  const edits = journal.attempts.editsOfEach(edited);
  return journal.attempts.some(edited).flatMap(({ id, buildId: of }) => {
    const last = edits.get(id)?.findLast(({ changes }) => field in changes);
    return of === buildId && last?.at === at ? [id] : [];
  });
};
