import { type ClockDifference, clockDifferenceOf } from "../../server/bench/limit/clockDifference.ts";
import type { EvidenceRow } from "../../server/bench/things/evidenceRow.ts";
import { type SeededRandom, seededRandom } from "../../server/numerics/seededRandom.ts";
import { testChip, testWorkload } from "../support/evidenceRows.ts";
import { otherChip, otherSubject } from "../support/otherChip.ts";
import { chipKinds, simulatedChip, simulatedSubject } from "../support/simulatedChip.ts";
import type { Subject } from "../support/subject.ts";
import type { Simulator } from "./subjects.ts";
import { hazard, stepMhz } from "./walks.ts";

/** One chip in two builds, the second going so much further at the chip's reference; and the bench they are tried on. */
export type Pair = Readonly<{ a: Subject; b: Subject; random: SeededRandom }>;

export function pairOf(seed: number, index: number, apartMhz: number, simulator: Simulator): Pair {
  const drawn = seededRandom(seed + index);
  const random = seededRandom(seed + 500_000 + index);
  const softness = 14 * Math.exp(0.5 * seededRandom(seed + 900_000 + index).normal());
  if (simulator === "second") {
    const chip = otherChip(drawn, { softnessMhz: softness });
    return {
      a: otherSubject(chip),
      b: otherSubject({ ...chip, limitMhz: chip.limitMhz + apartMhz }),
      random,
    };
  }
  const chip = simulatedChip(chipKinds[index % chipKinds.length]!, drawn);
  const broad = { ...chip, softnessMhz: (softness * chip.limitMhz) / 5200 };
  return {
    a: simulatedSubject(broad),
    b: simulatedSubject({ ...broad, limitMhz: broad.limitMhz + apartMhz }),
    random,
  };
}

const voltageSteps = [-50, 0, 50, 100] as const;
const attemptsEach = 9;
const lengths = [10, 20, 60] as const;

type Tried = Readonly<{ rows: EvidenceRow[]; crashMhz: number[] }>;

/** Nine attempts at each of four voltages: ten minutes a step up to a crash, steps twice as long after three passes, then longer runs around it. */
function triedOn(subject: Subject, random: SeededRandom): Tried {
  const rows: EvidenceRow[] = [];
  const crashMhz: number[] = [];
  for (const step of voltageSteps) {
    const voltageMv = subject.stock.voltageMv + step;
    const below = 75 + 50 * random.uniform();
    let clockMhz = stepMhz * Math.round((subject.clockAt(voltageMv, hazard) - below) / stepMhz);
    let crashed: number | undefined;
    for (let n = 0; n < attemptsEach; n++) {
      const minutes = crashed === undefined ? 10 : lengths[random.index(lengths.length)]!;
      const { row } = subject.ran({ clockMhz, voltageMv, minutes }, random);
      rows.push(row);
      if (crashed === undefined && row.outcome !== "pass") crashed = clockMhz;
      const step = n < 3 ? stepMhz : 2 * stepMhz;
      clockMhz = crashed === undefined ? clockMhz + step : crashed - stepMhz * random.index(4);
    }
    crashMhz.push(crashed ?? clockMhz);
  }
  return { rows, crashMhz };
}

export type Told = Readonly<{ found: ClockDifference; trueMhz: number; pairedT: boolean }>;

const meanOf = (values: readonly number[]): number =>
  values.reduce((sum, value) => sum + value, 0) / values.length;

/** What the joint fit says of a pair, what is true, and whether a paired t over the four crash clocks would have told it. */
export function toldOf({ a, b, random }: Pair, simulator: Simulator): Told {
  const [ofA, ofB] = [triedOn(a, random), triedOn(b, random)];
  const chip = testChip({
    id: `pair of the ${simulator}`,
    stockClockMhz: a.stock.clockMhz,
    stockVoltageMv: a.stock.voltageMv,
    voltageCeilingMv: a.ceilingMv,
  });
  const found = clockDifferenceOf({
    a: { chip, rows: ofA.rows },
    b: { chip, rows: ofB.rows },
    workloads: [testWorkload("all-core")],
    workloadId: null,
  });
  const truths = voltageSteps.map((step) => {
    const voltageMv = a.stock.voltageMv + step;
    return b.clockAt(voltageMv, hazard) - a.clockAt(voltageMv, hazard);
  });
  return { found: found!, trueMhz: meanOf(truths), pairedT: differsByPairedT(ofA, ofB) };
}

/** Student's t at 95 % with three degrees of freedom is 3.182. */
function differsByPairedT(a: Tried, b: Tried): boolean {
  const apart = b.crashMhz.map((clock, i) => clock - a.crashMhz[i]!);
  const mean = meanOf(apart);
  const deviation = Math.sqrt(apart.reduce((sum, one) => sum + (one - mean) ** 2, 0) / (apart.length - 1));
  return Math.abs(mean) > (3.182 * deviation) / Math.sqrt(apart.length);
}

export type PairFigures = Readonly<{
  pairs: number;
  differs: number;
  held: number;
  halfWidthMhz: number;
  pairedT: number;
}>;

export function pairFigures(
  asked: Readonly<{ pairs: number; seed: number; apartMhz: number; simulator: Simulator }>,
): PairFigures {
  const told = Array.from({ length: asked.pairs }, (_, index) =>
    toldOf(pairOf(asked.seed, index, asked.apartMhz, asked.simulator), asked.simulator),
  );
  const count = (of: (one: Told) => boolean): number => told.filter(of).length;
  return {
    pairs: asked.pairs,
    differs: count(({ found: { low, high } }) => (low ?? -1) > 0 || (high ?? 1) < 0),
    held: count(({ found: { low, high }, trueMhz }) => (low ?? -1e9) <= trueMhz && trueMhz <= (high ?? 1e9)),
    halfWidthMhz: meanOf(told.map(({ found: { low, high } }) => ((high ?? 0) - (low ?? 0)) / 2)),
    pairedT: count((one) => one.pairedT),
  };
}
