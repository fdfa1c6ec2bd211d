import type { SeededRandom } from "../../server/numerics/seededRandom.ts";
import type { Ran, Subject, Trial } from "../support/subject.ts";
import { benchCosts } from "../support/subject.ts";
import { figuresOf, pencilRules, searched } from "./oneVoltage.ts";
import { percent, told } from "./statistics.ts";
import { type Bench, benchOf, type Simulator } from "./subjects.ts";
import type { Table } from "./table.ts";
import { proposedWalk, type Walk } from "./walks.ts";

type Asked = Readonly<{ simulator: Simulator; seed: number; chips: number }>;

/** A restart that no setting explains, one in five hours: a machine that also has another fault. */
const strayPerMinute = 1 / 300;

/** The same chip in such a machine: what strikes before a run has ended ends it. */
function withStrays(subject: Subject): Subject {
  const ran = (trial: Trial, random: SeededRandom): Ran => {
    const run = subject.ran(trial, random);
    const strikesAfter = -Math.log(1 - random.uniform()) / strayPerMinute;
    const lasted = run.row.durationS / 60;
    if (strikesAfter >= lasted) return run;
    const row = { ...run.row, outcome: "restart" as const, durationS: Math.round(60 * strikesAfter) };
    return { ...run, row, benchMinutes: benchCosts.setupMinutes + strikesAfter + benchCosts.crashMinutes };
  };
  return { ...subject, ran };
}

const amongStrays = ({ simulator, seed, chips }: Asked): readonly Bench[] =>
  Array.from({ length: chips }, (_, index) => {
    const bench = benchOf(seed, index, "broad", simulator);
    return { ...bench, subject: withStrays(bench.subject) };
  });

export function strays(table: Table, asked: Asked): void {
  const figures = (rule: (bench: Bench) => Walk<number>) => figuresOf(searched(amongStrays(asked), rule));
  const { minutes, under, crashes, unfit, hours, endless } = figures((bench) => proposedWalk(bench));
  const name = `one stray restart in five hours, ${asked.simulator} simulator`;
  table.figure(
    `${name}: minutes, MHz under, failures`,
    `${told(minutes)}, ${told(under)}, ${crashes.mean.toFixed(1)}`,
  );
  table.promise(
    `${name}: hours at the answer that pass, unfit`,
    `${percent(hours)}, ${percent(unfit)}`,
    "97 %, 8 %",
    hours.mean >= 0.97 && unfit.mean <= 0.08,
  );
  table.promise(`${name}: searches that never end`, `${endless} of ${asked.chips}`, "0", endless === 0);
  for (const [rule, walk] of Object.entries(pencilRules)) {
    const pencil = figures(walk);
    table.figure(
      `${name}: ${rule}`,
      `${told(pencil.minutes)} min, ${told(pencil.under)} MHz under, ${percent(pencil.unfit)} unfit, ${percent(pencil.hours)} of hours pass, ${pencil.crashes.mean.toFixed(1)} failures`,
    );
  }
}
