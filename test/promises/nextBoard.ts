import { seededRandom } from "../../server/numerics/seededRandom.ts";
import { figuresOf, type SearchFigures, searched } from "./oneVoltage.ts";
import { percent, told } from "./statistics.ts";
import { type Bench, benchOf, type Elsewhere, type Simulator } from "./subjects.ts";
import type { Table } from "./table.ts";
import { proposedWalk } from "./walks.ts";

type Asked = Readonly<{ simulator: Simulator; seed: number; chips: number }>;

/** How far apart the limits of two boards lie, as the fit believes, and two and a half times as far (common practice: a percent or so). */
const spreads = { "as far apart as believed": 0.012, "far further apart": 0.03 } as const;
type Spread = keyof typeof spreads;

/** Limit by a normal, the cooler anything from a sixth better to a fifth worse. */
function elsewhereOf(seed: number, index: number, spread: Spread): Elsewhere {
  const random = seededRandom(seed + 700_000 + index);
  return { limit: Math.exp(spreads[spread] * random.normal()), resistance: random.uniformIn(0.85, 1.2) };
}

/** The search on a second board by itself, and the same with the whole search on the first in the journal. */
export function onNextBoard(
  { simulator, seed, chips }: Asked,
  spread: Spread,
): Readonly<{ alone: SearchFigures; taught: SearchFigures }> {
  const firsts = Array.from({ length: chips }, (_, index) => benchOf(seed, index, "broad", simulator));
  const shown = firsts.map((bench) => proposedWalk(bench).rows);
  const seconds = (): Bench[] =>
    firsts.map((_, index) => ({
      ...benchOf(seed, index, "broad", simulator, elsewhereOf(seed, index, spread)),
      random: seededRandom(seed + 600_000 + index),
    }));
  let index = 0;
  return {
    alone: figuresOf(searched(seconds(), (bench) => proposedWalk(bench))),
    taught: figuresOf(
      searched(seconds(), (bench) => {
        const otherBuilds = [{ name: "The first board", rows: shown[index++]! }];
        return proposedWalk(bench, { otherBuilds });
      }),
    ),
  };
}

export function nextBoard(table: Table, asked: Asked): void {
  for (const spread of Object.keys(spreads) as Spread[]) {
    const { alone, taught } = onNextBoard(asked, spread);
    const name = `the next board, ${spread}, ${asked.simulator} simulator`;
    const words = ({ minutes, under, crashes }: SearchFigures): string =>
      `${told(minutes)} min, ${told(under)} MHz under, ${crashes.mean.toFixed(1)} crashes`;
    const isBelieved = spread === "as far apart as believed";
    const giveMinutes = isBelieved ? 0 : Math.hypot(taught.minutes.error, alone.minutes.error);
    table.promise(
      `${name}: what the first taught; by itself`,
      `${words(taught)}; ${words(alone)}`,
      isBelieved ? "sooner" : "no later, to within an error",
      taught.minutes.mean < alone.minutes.mean + giveMinutes,
    );
    const least = isBelieved ? 0.97 : 0.95;
    table.promise(
      `${name}: hours at the answer that pass, unfit; by itself`,
      `${percent(taught.hours)}, ${percent(taught.unfit)}; ${percent(alone.hours)}, ${percent(alone.unfit)}`,
      `${100 * least} % of hours`,
      taught.hours.mean >= least,
    );
    table.promise(`${name}: searches that never end`, `${taught.endless}`, "0", taught.endless === 0);
  }
}
