import { errorsThatSpeak } from "../things/asSet.ts";
import type { AccountedBuild, AccountedRun } from "./account.ts";
import { counted, inWords } from "./figures.ts";

/** What a reader should know of how the attempts were run and told, besides their settings; a line for each that was said. */
export const conductLines = ({ runs }: AccountedBuild): string[] =>
  tellings.flatMap((tell) => tell(runs) ?? []);

type Runs = readonly AccountedRun[];
type Telling = (runs: Runs) => string | null;

const attempts = (count: number): string => counted(count, "attempt");

const countOf = (runs: Runs, is: (run: AccountedRun) => boolean): number => runs.filter(is).length;

const ifAny = (count: number, words: (said: string) => string): string | null =>
  count === 0 ? null : words(attempts(count));

/** "full in 3 attempts and stored in 1 attempt", the most often first. */
function timesOf(runs: Runs, wordOf: (run: AccountedRun) => string | null | undefined): string | null {
  const times = new Map<string, number>();
  for (const run of runs) {
    const value = wordOf(run);
    if (value != null && value !== "") times.set(value, (times.get(value) ?? 0) + 1);
  }
  const often = [...times].sort(([, one], [, other]) => other - one);
  return often.length === 0 ? null : inWords(often.map(([value, count]) => `${value} in ${attempts(count)}`));
}

const said = (lead: string, words: string | null): string | null => words && `${lead}: ${words}.`;

const trainingWords = { full: "in full", stored: "from what was stored", unknown: "not known how" } as const;

const tellings: readonly Telling[] = [
  (runs) =>
    ifAny(
      countOf(runs, ({ aboveCeiling }) => aboveCeiling === true),
      (all) => `Set above a ceiling on purpose: ${all}.`,
    ),
  (runs) => {
    const told = runs.filter(({ toldBy }) => toldBy === "attendant");
    const proved = countOf(told, ({ loadProved }) => loadProved === true);
    return ifAny(told.length, (all) => `Told by the machine itself: ${all}, the load proved in ${proved}.`);
  },
  (runs) =>
    said(
      "The kernel named as failed",
      timesOf(runs, ({ crashPart }) => crashPart),
    ),
  (runs) =>
    said(
      "Load-line",
      timesOf(runs, ({ loadLine }) => loadLine),
    ),
  (runs) =>
    said(
      "Fans",
      timesOf(runs, ({ fanMode }) => fanMode),
    ),
  (runs) =>
    said(
      "Started",
      timesOf(runs, ({ startKind }) => startKind && (startKind === "restart" ? "from a restart" : startKind)),
    ),
  (runs) =>
    ifAny(
      countOf(runs, ({ throttled }) => throttled === true),
      (all) => `Throttled: ${all}.`,
    ),
  (runs) =>
    ifAny(
      countOf(runs, ({ clockMode }) => clockMode === "boost"),
      (all) => `Left to boost: ${all}.`,
    ),
  (runs) => {
    const counts = runs.flatMap(
      ({ correctedErrors = null, correctedErrorsAt = null }) =>
        errorsThatSpeak({ correctedErrors, correctedErrorsAt }) ?? [],
    );
    const most = counts.reduce((high, count) => Math.max(high, count), 0);
    return ifAny(counts.length, (all) => `Corrected errors counted in ${all}, ${most} at most.`);
  },
  (runs) =>
    said(
      "The memory trained",
      timesOf(runs, ({ training }) => training && trainingWords[training]),
    ),
  (runs) => {
    const tried = runs.reduce((sum, { starts }) => sum + (starts?.tried ?? 0), 0);
    const up = runs.reduce((sum, { starts }) => sum + (starts?.up ?? 0), 0);
    return tried === 0 ? null : `Starts: ${up} of ${tried} came up.`;
  },
  (runs) => {
    const cycles = runs.reduce((most, run) => Math.max(most, run.cycles ?? 0), 0);
    return cycles === 0 ? null : `Cycles of the test: ${cycles} at most in one attempt.`;
  },
  (runs) => {
    const coverage = runs.reduce((most, run) => Math.max(most, run.coveragePct ?? 0), 0);
    return coverage === 0 ? null : `Coverage of the test: ${coverage} % at most in one attempt.`;
  },
  (runs) => {
    const found = runs.flatMap(({ errors }) => errors ?? []);
    const modules = new Set(found.flatMap(({ module }) => module ?? []));
    const where = modules.size === 0 ? "" : `, on module ${inWords([...modules].sort())}`;
    return found.length === 0 ? null : `Errors found: ${found.length}${where}.`;
  },
  (runs) =>
    ifAny(
      countOf(runs, ({ settingReadBack }) => settingReadBack === "differs"),
      (all) => `Read back otherwise than set: ${all}.`,
    ),
];
