import { mkdirSync, writeFileSync } from "node:fs";
import path from "node:path";
import { frontierSvg, type RulePoint } from "./frontierPicture.ts";
import { logScores, type Mean, meanOf, percent, shareOf, told } from "./statistics.ts";
import { type Bench, benchOf, type Population, type Simulator } from "./subjects.ts";
import type { Table } from "./table.ts";
import {
  bisectionWithProof,
  climb,
  coarseThenFine,
  type Judged,
  judged,
  proposedWalk,
  type Walk,
} from "./walks.ts";

/** What is promised of a search at one voltage, by how soft the limits are. Null where nothing is. */
type Goals = Readonly<{
  underMhz: number | null;
  minutes: number | null;
  crashes: number | null;
  unfit: number | null;
  hours: number | null;
}>;

const none: Goals = { underMhz: null, minutes: null, crashes: null, unfit: null, hours: null };
const goalsOf: Readonly<Record<Population, Goals>> = {
  broad: { underMhz: 55, minutes: 110, crashes: 3, unfit: 0.08, hours: 0.97 },
  ordinary: { ...none, underMhz: 60, minutes: 105 },
  sharp: none,
  soft: { ...none, hours: 0.91 },
  "8 MHz": none,
  "42 MHz": none,
};

/** Chips that heat costs far more clock than the fit takes for usual. */
export const harshGoals: Goals = { ...none, underMhz: 75, minutes: 120, unfit: 0.12, hours: 0.95 };

type Answered = Walk<number> & Judged & Readonly<{ answer: number }>;

export type Search = Readonly<{ walks: readonly Walk<number>[]; answered: readonly Answered[] }>;

/** One rule on every chip; endless searches have no answer to judge. */
export function searched(benches: readonly Bench[], rule: (bench: Bench) => Walk<number>): Search {
  const walks = benches.map((bench) => ({ bench, walk: rule(bench) }));
  return {
    walks: walks.map(({ walk }) => walk),
    answered: walks.flatMap(({ bench, walk }) =>
      walk.answer === null ? [] : [{ ...walk, answer: walk.answer, ...judged(bench, walk.answer) }],
    ),
  };
}

export type SearchFigures = Readonly<{
  minutes: Mean;
  under: Mean;
  unfit: Mean;
  hours: Mean;
  claimed: Mean;
  crashes: Mean;
  nearTop: Mean;
  endless: number;
}>;

export function figuresOf({ walks, answered }: Search): SearchFigures {
  const mean = (of: (one: Answered) => number): Mean => meanOf(answered.map(of));
  return {
    minutes: mean(({ minutes }) => minutes),
    under: mean(({ underMhz }) => underMhz),
    unfit: shareOf(answered, ({ unfit }) => unfit),
    hours: mean(({ hourPasses }) => hourPasses),
    claimed: mean(({ claimed }) => claimed),
    crashes: meanOf(walks.map(({ crashes }) => crashes)),
    nearTop: shareOf(answered, ({ underMhz }) => underMhz > -75 && underMhz < 75),
    endless: walks.length - answered.length,
  };
}

export const pencilRules: Readonly<Record<string, (bench: Bench) => Walk<number>>> = {
  "climb, one-hour runs, two steps below": (bench) => climb(bench, 2),
  "bisection with proof, three steps below": (bench) => bisectionWithProof(bench, 3),
  "100 MHz of 5 min, then 25 MHz of 20 min, five below": (bench) => coarseThenFine(bench),
};

export type OneVoltage = Readonly<{
  simulator: Simulator;
  population: Population;
  seed: number;
  chips: number;
  pictures?: string;
  /** What is promised here, where it is other than of the population. */
  goals?: Goals;
}>;

export function oneVoltage(table: Table, asked: OneVoltage): void {
  const { simulator, population, seed, chips, pictures, goals = goalsOf[population] } = asked;
  const benches = (): Bench[] =>
    Array.from({ length: chips }, (_, index) => benchOf(seed, index, population, simulator));
  const name = `${population} chips, ${simulator} simulator`;
  const ours = searched(benches(), (bench) => proposedWalk(bench));
  const figures = figuresOf(ours);
  toldInRows(table, name, figures, goals, chips);
  const { forecast, baseRate } = logScores(ours.walks.flatMap(({ foretold }) => foretold));
  table.promise(
    `${name}: log score of forecasts, of the base rate`,
    `${forecast.toFixed(3)}, ${baseRate.toFixed(3)}`,
    "above it",
    forecast > baseRate,
  );
  const points = [pointOf("what is proposed", figures, true)];
  for (const [rule, walk] of Object.entries(pencilRules)) {
    const pencil = figuresOf(searched(benches(), walk));
    const { minutes, under, unfit, crashes } = pencil;
    table.figure(
      `${name}: ${rule}`,
      `${told(minutes)} min, ${told(under)} MHz under, ${percent(unfit)} unfit, ${crashes.mean.toFixed(1)} crashes`,
    );
    points.push(pointOf(rule, pencil, false));
  }
  if (pictures !== undefined) {
    mkdirSync(pictures, { recursive: true });
    const picture = path.join(pictures, `${population}-${simulator}.svg`);
    writeFileSync(picture, frontierSvg(name, points));
    console.log(`| ${name}: drawn | ${picture} | | |`);
  }
}

const pointOf = (rule: string, { under, unfit, minutes }: SearchFigures, ours: boolean): RulePoint => ({
  ...{ rule, under, unfit, minutes, ours },
});

/** Claimed and observed may differ by two points, and by what chance does to the observed. */
const claimWithin = 0.02;

function toldInRows(table: Table, name: string, figures: SearchFigures, goals: Goals, chips: number): void {
  const row = (what: string, measured: string, goal: number | null, words: string, met: boolean): void =>
    goal === null
      ? table.figure(`${name}: ${what}`, measured)
      : table.promise(`${name}: ${what}`, measured, words, met);
  const { minutes, under, crashes, unfit, hours, claimed, nearTop, endless } = figures;
  const most = (value: Mean, goal: number | null): boolean => goal === null || value.mean <= goal;
  row(
    "MHz under the truth",
    told(under, 1),
    goals.underMhz,
    `${goals.underMhz}`,
    most(under, goals.underMhz),
  );
  row("minutes", told(minutes), goals.minutes, `${goals.minutes}`, most(minutes, goals.minutes));
  row("crashes a search", told(crashes, 1), goals.crashes, `${goals.crashes}`, most(crashes, goals.crashes));
  row(
    "unfit answers",
    percent(unfit),
    goals.unfit,
    `${100 * (goals.unfit ?? 0)} %`,
    most(unfit, goals.unfit),
  );
  row(
    "hours at the answer that pass",
    percent(hours),
    goals.hours,
    `${100 * (goals.hours ?? 0)} %`,
    hours.mean >= (goals.hours ?? 0),
  );
  const gap = Math.abs(claimed.mean - hours.mean);
  row(
    "claimed chance of the hour, observed",
    `${(100 * claimed.mean).toFixed(1)} %, ${percent(hours)}`,
    goals.hours === 0.97 ? claimWithin : null,
    "within 2 points",
    gap <= claimWithin + 2 * hours.error,
  );
  table.figure(`${name}: within two steps of the highest acceptable`, percent(nearTop));
  table.promise(`${name}: searches that never end`, `${endless} of ${chips}`, "0", endless === 0);
}
