import {
  type ChipSharpness,
  chipSharpnessOf,
  sharpnessLearntFrom,
} from "../../server/bench/limit/sharpnessLearnt.ts";
import { figuresOf, type SearchFigures, searched } from "./oneVoltage.ts";
import { percent, told } from "./statistics.ts";
import { type Bench, benchOf, type Population, type Simulator } from "./subjects.ts";
import type { Table } from "./table.ts";
import { proposedWalk, questionFor } from "./walks.ts";

type Asked = Readonly<{ simulator: Simulator; seed: number; chips: number }>;

const others = 10;
/** So many chips were searched before; each chip asked about has its own ten of them. */
const pool = 40;

/** What the journal would have kept of chips that were searched before, each under the base prior. */
function shownBy(benches: readonly Bench[]): ChipSharpness[] {
  return benches.flatMap((bench) => {
    const { rows } = proposedWalk(bench);
    return chipSharpnessOf(questionFor(bench.subject, rows, 1)) ?? [];
  });
}

const benchesOf = (from: number, count: number, population: Population, simulator: Simulator): Bench[] =>
  Array.from({ length: count }, (_, index) => benchOf(from, index, population, simulator));

function taughtSearch(asked: Asked, teachers: Population, learner: Population): SearchFigures {
  const { simulator, seed, chips } = asked;
  const shown = shownBy(benchesOf(seed + 50_000, pool, teachers, simulator));
  let index = 0;
  return figuresOf(
    searched(benchesOf(seed, chips, learner, simulator), (bench) => {
      const own = Array.from({ length: others }, (_, i) => shown[(3 * index + i) % shown.length]!);
      index += 1;
      return proposedWalk(bench, { sharpness: sharpnessLearntFrom(own, "cpu") });
    }),
  );
}

export function taught(table: Table, asked: Asked): void {
  const broad = taughtSearch(asked, "broad", "broad");
  const name = `broad chips after ten others, ${asked.simulator} simulator`;
  const { under, minutes, unfit, hours, claimed, endless } = broad;
  table.promise(
    `${name}: MHz under the truth, minutes`,
    `${told(under, 1)}, ${told(minutes)}`,
    "45 in 75 or 38 in 120",
    (under.mean <= 45 && minutes.mean <= 75) || (under.mean <= 38 && minutes.mean <= 120),
  );
  table.promise(`${name}: unfit answers`, percent(unfit), "8 %", unfit.mean <= 0.08);
  table.figure(`${name}: claimed chance of the hour, observed`, `${percent(claimed)}, ${percent(hours)}`);
  table.promise(`${name}: searches that never end`, `${endless} of ${asked.chips}`, "0", endless === 0);
  const soft = taughtSearch({ ...asked, chips: Math.ceil(asked.chips / 2) }, "8 MHz", "42 MHz");
  table.promise(
    `chips of 42 MHz after ten of 8 MHz, ${asked.simulator} simulator: hours at the answer that pass`,
    percent(soft.hours),
    "91 %",
    soft.hours.mean >= 0.91,
  );
}
