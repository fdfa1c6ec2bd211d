import { type CorrectableField, correctableFields, sameValue } from "../../actions/correctMany.ts";
import { type Attempt, attemptEdit } from "../../bench/things/attempt.ts";
import type { Build } from "../../bench/things/build.ts";
import type { Chip } from "../../bench/things/chip.ts";
import { invalid, missing } from "../../bench/things/refusal.ts";
import { isId } from "../../bench/things/units.ts";
import type { Workload } from "../../bench/things/workload.ts";
import { read } from "../../requests/reading.ts";
import type { Journal } from "../../store/file/journal.ts";
import { type FormField, fieldNamed, fieldWords } from "../attemptForm/formFields.ts";
import { kinds } from "../kit/attemptKinds.ts";
import type { FormState, Typed } from "../kit/forms.ts";

export const pickName = (id: string): string => `pick-${id}`;
const attemptsShown = 200;

/** What a correction does to one attempt, in words; equal where it changes nothing. */
export type CorrectedAttempt = Readonly<{ attempt: Attempt; before: string; after: string }>;

/** What was tried one after another; named by its newest attempt. */
export type Evening = Readonly<{ newestId: string; startedAt: string; ids: readonly string[] }>;

export type CorrectionsShown = Readonly<{
  build: Build;
  chip: Chip;
  workloads: readonly Workload[];
  attempts: readonly Attempt[];
  /** The newest first; any can be chosen whole. */
  evenings: readonly Evening[];
  field: FormField | null;
  form: FormState;
  /** Null until it was asked what a correction does. */
  changes: readonly CorrectedAttempt[] | null;
  /** What was just corrected, and can be undone. */
  done: Readonly<{ at: string; attempts: number; field: FormField }> | null;
  once: string;
}>;

export const correctable = (name: string | null | undefined): CorrectableField | null =>
  correctableFields.find((one) => one === name) ?? null;

/** Fields that this chip's attempts may say. */
export const fieldsFor = (chip: Chip): readonly FormField[] =>
  correctableFields
    .filter((name) => (name === "offset" || name === "part" ? chip.axis === "offset" : true))
    .filter((name) => (name === "training" ? chip.kind === "memory" : true))
    .flatMap((name) => fieldNamed(name) ?? []);

export const picked = (typed: Typed): readonly string[] =>
  Object.keys(typed).flatMap((name) => {
    const id = name.startsWith("pick-") ? name.slice(5) : "";
    return isId(id) ? [id] : [];
  });

/** The value typed for a field, as an edit would have it. */
export function valueTyped(field: FormField, typed: Typed): unknown {
  const value = kinds[field.kind].read(typed[field.name]);
  if (value === null && fieldIsNeeded(field)) {
    const words = "Say what it was.";
    throw invalid(words, { [field.name]: words });
  }
  const edit = read(attemptEdit, { [field.name]: value }, "The correction");
  return (edit as Record<string, unknown>)[field.name] ?? null;
}

const fieldIsNeeded = ({ sent }: FormField): boolean => !sent.safeParse(undefined).success;

export function correctionsShown(
  journal: Journal,
  buildId: string,
  now: string,
  asked: Readonly<{
    field: CorrectableField | null;
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
  const field = (asked.field && fieldNamed(asked.field)) ?? null;
  const words = (value: unknown): string =>
    field?.name === "workloadId"
      ? (workloads.find(({ id }) => id === value)?.name ?? "another load")
      : field === null
        ? ""
        : fieldWords(field, value, chip);
  const evenings = eveningsOf(attempts);
  const whole = evenings.find(({ newestId }) => newestId === asked.evening);
  const form = whole === undefined ? asked.form : withPicked(asked.form, whole.ids);
  const chosen = new Set(picked(form.typed));
  const changes =
    field === null || asked.value === undefined
      ? null
      : attempts
          .filter(({ id }) => chosen.has(id))
          .map((attempt) => ({
            attempt,
            before: words(attempt[field.name]),
            after: sameValue(attempt[field.name], asked.value)
              ? words(attempt[field.name])
              : words(asked.value),
          }));
  const done = asked.changed && field ? doneAt(journal, build.id, asked.changed, field) : null;
  return {
    build,
    chip,
    workloads,
    attempts,
    evenings,
    field,
    form,
    changes,
    done,
    once: journal.newId(now),
  };
}

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

function doneAt(journal: Journal, buildId: string, at: string, field: FormField): CorrectionsShown["done"] {
  const attempts = correctedAt(journal, buildId, at, field.name as CorrectableField).length;
  return attempts === 0 ? null : { at, attempts, field };
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
