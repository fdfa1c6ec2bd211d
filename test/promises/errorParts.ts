import { limitFitOf } from "../../server/bench/limit/limitFit.ts";
import { limitDrawsOf } from "../../server/bench/limit/limitReach.ts";
import { usualBenchCosts } from "../../server/bench/next/benchCosts.ts";
import { type NextQuestion, nextAttemptOf } from "../../server/bench/next/nextAttempt.ts";
import { trialForecastsOf } from "../../server/bench/next/trialForecast.ts";
import type { EvidenceRow } from "../../server/bench/things/evidenceRow.ts";
import { type CorrectingKind, correctingKinds, errorCounter, withErrors } from "../support/correctingChip.ts";
import type { Trial } from "../support/subject.ts";
import { figuresOf, type SearchFigures, searched } from "./oneVoltage.ts";
import { type Mean, meanOf, percent, shareOf, told } from "./statistics.ts";
import { type Bench, benchOf, type Simulator } from "./subjects.ts";
import type { Table } from "./table.ts";
import { type Foretold, proposedWalk, questionFor } from "./walks.ts";

type Asked = Readonly<{ simulator: Simulator; chips: number; seed: number }>;

/** One attempt as it was foretold without errors, with those that each kind of chip would have counted, and as it came. */
type Heard = Readonly<{ passed: boolean; without: number; heard: Readonly<Record<CorrectingKind, number>> }>;

const longest = 60;
const of = <Value>(made: (kind: CorrectingKind) => Value): Record<CorrectingKind, Value> =>
  Object.fromEntries(correctingKinds.map((kind) => [kind, made(kind)])) as Record<CorrectingKind, Value>;

function chanceForetold(question: NextQuestion, { clockMhz, voltageMv, minutes }: Trial): number {
  const fit = limitFitOf(question)!;
  const draws = limitDrawsOf(fit, fit.draws, fit.heaviestId);
  return trialForecastsOf(draws, { clockMhz, voltageMv }, [minutes], usualBenchCosts)[0]!.chanceOfPass;
}

/** A search that hears no errors: the same attempts, foretold with what chips of each kind would have counted before. */
function heardOn({ subject, random }: Bench, seed: number): Heard[] {
  const counters = of((kind) => errorCounter(kind, seed));
  const rows = of((): EvidenceRow[] => []);
  const heard: Heard[] = [];
  for (let turn = 1; turn <= longest; turn++) {
    const asked = { ...questionFor(subject, rows.none, turn), errors: false };
    const next = nextAttemptOf({ ...asked, voltageMv: subject.stock.voltageMv });
    if ("state" in next || "settled" in next) break;
    const trial = { clockMhz: next.clockMhz, voltageMv: next.voltageMv, minutes: next.durationS / 60 };
    const chances = of((kind) => chanceForetold(questionFor(subject, rows[kind], turn), trial));
    const without = chanceForetold(asked, trial);
    const ran = subject.ran(trial, random);
    heard.push({ passed: ran.row.outcome === "pass", without, heard: chances });
    for (const kind of correctingKinds) rows[kind].push(counters[kind](ran));
  }
  return heard;
}

const scoreOf = ({ chance, passed }: Foretold): number =>
  Math.log(Math.min(1 - 1e-6, Math.max(1e-6, passed ? chance : 1 - chance)));

/** Log scores an attempt, and by how much hearing betters them, its error from the scatter between chips. */
export type HeardFigures = Readonly<{ without: number; heard: number; better: Mean; otherwise: number }>;

export function heardFigures({ simulator, chips, seed }: Asked): Record<CorrectingKind, HeardFigures> {
  const searches = Array.from({ length: chips }, (_, i) =>
    heardOn(benchOf(seed, i, "broad", simulator), seed + 300_000 + i),
  );
  const attempts = searches.flat();
  const without = (one: Heard): number => scoreOf({ chance: one.without, passed: one.passed });
  return of((kind) => {
    const heard = (one: Heard): number => scoreOf({ chance: one.heard[kind], passed: one.passed });
    const gained = searches.map((all) => all.reduce((sum, one) => sum + heard(one) - without(one), 0));
    return {
      without: meanOf(attempts.map(without)).mean,
      heard: meanOf(attempts.map(heard)).mean,
      better: meanOf(gained.map((sum) => (sum * chips) / attempts.length)),
      otherwise: shareOf(attempts, (one) => one.heard[kind] !== one.without).mean,
    };
  });
}

const kindInWords: Readonly<Record<CorrectingKind, string>> = {
  makes: "chips that correct errors before they fail",
  none: "chips that make none, though counted",
  strays: "chips with a few errors that no clock explains",
};

/** Counted errors may cost a chip that does not make them with the clock no more than this of its log score. */
const noHarm = 0.005;

const goalOf: Readonly<Record<CorrectingKind, readonly [string, (figures: HeardFigures) => boolean]>> = {
  makes: ["better by over two errors", ({ better }) => better.mean > 2 * better.error],
  none: ["not one told otherwise", ({ otherwise }) => otherwise === 0],
  strays: [`worse by at most ${noHarm}`, ({ better }) => better.mean >= -noHarm],
};

/** What counted errors add to forecasts of the same attempts, and to whole searches. */
export function errorParts(table: Table, asked: Asked): void {
  const figures = heardFigures(asked);
  for (const kind of correctingKinds) {
    const { without, heard, better, otherwise } = figures[kind];
    const [goal, isMet] = goalOf[kind];
    table.promise(
      `${kindInWords[kind]}, ${asked.simulator} simulator: log score without errors, with them, gain an attempt, share told otherwise`,
      `${without.toFixed(3)}, ${heard.toFixed(3)}, ${told(better, 3)}, ${(100 * otherwise).toFixed(0)} %`,
      goal,
      isMet(figures[kind]),
    );
  }
  for (const kind of ["none", "makes", "strays"] as const)
    table.figure(`${kindInWords[kind]}, ${asked.simulator} simulator: searches`, searchesOf(asked, kind));
}

function searchesOf({ simulator, chips, seed }: Asked, kind: CorrectingKind): string {
  const benches = Array.from({ length: chips }, (_, i) => {
    const bench = benchOf(seed, i, "broad", simulator);
    return { ...bench, subject: withErrors(bench.subject, kind, seed + 300_000 + i) };
  });
  return inWords(figuresOf(searched(benches, (bench) => proposedWalk(bench))));
}

const inWords = ({ under, minutes, crashes, unfit, hours, claimed, endless }: SearchFigures): string =>
  [
    `${told(under, 1)} MHz under`,
    `${told(minutes)} min`,
    `${told(crashes, 1)} crashes`,
    `${percent(unfit)} unfit`,
    `hours ${percent(hours)} (claimed ${(100 * claimed.mean).toFixed(1)} %)`,
    `${endless} endless`,
  ].join(", ");
