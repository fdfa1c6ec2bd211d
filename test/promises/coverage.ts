import {
  fitOf,
  type LimitFit,
  type LimitGrounds,
  limitGroundsOf,
  modelOf,
  startsOf,
} from "../../server/bench/limit/limitFit.ts";
import { clocksAtHazard, limitDrawsOf, voltagesForClock } from "../../server/bench/limit/limitReach.ts";
import type { EvidenceRow } from "../../server/bench/things/evidenceRow.ts";
import { choleskyOf, inverseFromCholesky } from "../../server/numerics/cholesky.ts";
import { curvatureOf } from "../../server/numerics/logDensity.ts";
import { modesOf } from "../../server/numerics/mode.ts";
import type { Particles } from "../../server/numerics/particles.ts";
import { seededRandom } from "../../server/numerics/seededRandom.ts";
import { weightedQuantilesOf } from "../../server/numerics/weightedQuantiles.ts";
import { chipKinds, type SimulatedChip, simulatedChip, simulatedSubject } from "../support/simulatedChip.ts";
import type { Subject } from "../support/subject.ts";
import { type Bench, benchOf } from "./subjects.ts";
import { hazard, questionFor, sixVoltagesOf, stepMhz } from "./walks.ts";

/** How often the 90 % interval holds the truth, how wide it is, and how often the truth lies above its middle. */
export type Coverage = Readonly<{
  limit: number;
  voltage: number;
  widthMhz: number;
  above: number;
  asked: number;
}>;

export type Fitting = (grounds: LimitGrounds, seed: number) => LimitFit;

export type CoverageCase = Readonly<{
  chips: number;
  attempts: number;
  /** Chips and benches of their own for each number. */
  seed: number;
  minutes?: readonly number[];
  bench?: (seed: number, index: number) => Bench;
  /** What gets written down of a run, where it is not the truth. */
  written?: (row: EvidenceRow, count: number) => EvidenceRow;
  fit?: Fitting;
  /** The shares between which a band lies; a 90 % band where nothing is said. */
  band?: readonly [number, number];
}>;

const broadBench = (seed: number, index: number): Bench => benchOf(seed, index, "broad", "first");

export function coverageOf(asked: CoverageCase): Coverage {
  const { chips, attempts, seed, fit = fitOf, bench: benchFor = broadBench, band = [0.05, 0.95] } = asked;
  const found = Array.from({ length: chips }, (_, k) => {
    const bench = benchFor(seed + 1000 * attempts, k);
    return coveredOn(bench.subject, scatteredAttempts(bench, asked), fit, band);
  });
  const points = found.flatMap((one) => one.points);
  const share = (of: (point: Covered) => boolean): number => points.filter(of).length / points.length;
  return {
    limit: share(({ held }) => held),
    voltage: found.filter((one) => one.voltageHeld).length / chips,
    widthMhz: points.reduce((sum, { widthMhz }) => sum + widthMhz, 0) / points.length,
    above: share(({ above }) => above),
    asked: points.length,
  };
}

type Covered = Readonly<{ held: boolean; widthMhz: number; above: boolean }>;

function coveredOn(
  subject: Subject,
  rows: readonly EvidenceRow[],
  fitting: Fitting,
  [from, to]: readonly [number, number],
): Readonly<{ points: Covered[]; voltageHeld: boolean }> {
  const fitted = fitting(limitGroundsOf(questionFor(subject, rows, 1))!, 1);
  const draws = limitDrawsOf(fitted, fitted.draws, "all-core");
  const points = [...new Set(rows.map((row) => row.voltageMv))].map((voltageMv) => {
    const [low, mid, high] = weightedQuantilesOf(clocksAtHazard(draws, voltageMv, hazard), draws.weights, [
      from,
      0.5,
      to,
    ]) as [number, number, number];
    const clock = subject.clockAt(voltageMv, hazard);
    return { held: low <= clock && clock <= high, widthMhz: high - low, above: clock > mid };
  });
  const askedMv = subject.stock.voltageMv + 25;
  const range = { lowMv: 0.6 * askedMv, highMv: 1.6 * askedMv };
  const needed = voltagesForClock(draws, subject.clockAt(askedMv, hazard), hazard, range);
  const [lowMv, highMv] = weightedQuantilesOf(
    needed.map((mv) => Math.min(mv, 1e6)),
    draws.weights,
    [from, to],
  ) as [number, number];
  return { points, voltageHeld: lowMv <= askedMv && askedMv <= highMv };
}

/** Attempts as a tester might make them: at six voltages, within 80 MHz or so of the limit, of several lengths. */
function scatteredAttempts(
  bench: Bench,
  { attempts, minutes = [10, 20, 60], written }: CoverageCase,
): EvidenceRow[] {
  const { subject, random } = bench;
  const voltages = sixVoltagesOf(bench);
  return Array.from({ length: attempts }, (_, i) => {
    const voltageMv = voltages[random.index(voltages.length)]!;
    const clockMhz =
      stepMhz * Math.round((subject.clockAt(voltageMv, hazard) + 80 * random.normal()) / stepMhz);
    const { row } = subject.ran(
      { clockMhz, voltageMv, minutes: minutes[random.index(minutes.length)]! },
      random,
    );
    return written?.(row, i) ?? row;
  });
}

/** The method broken on purpose: every minute counts as a hot one. */
export const withPlainMinutes: Fitting = (grounds, seed) =>
  fitOf(
    {
      ...grounds,
      records: grounds.records.map((record) => ({
        ...record,
        warmUpC: 0,
      })),
    },
    seed,
  );

/** The method broken on purpose: a normal distribution at the highest mode in place of sampling. */
export const withLaplace: Fitting = (grounds, seed) => {
  const model = modelOf(grounds);
  const mode = modesOf(model, startsOf(model))[0]!;
  const curvature = curvatureOf(model, mode.at);
  for (let i = 0; i < model.size; i++) curvature[i]![i]! += 1e-3;
  const lower = choleskyOf(curvature);
  const spread = lower === undefined ? undefined : choleskyOf(inverseFromCholesky(lower));
  const random = seededRandom(seed);
  const count = 1000;
  const points = new Float64Array(count * model.size);
  for (let k = 0; k < count; k++) {
    const normals = Float64Array.from({ length: model.size }, random.normal);
    for (let i = 0; i < model.size; i++)
      points[k * model.size + i] =
        mode.at[i]! + (spread?.[i]?.reduce((sum, part, j) => sum + part * normals[j]!, 0) ?? normals[i]!);
  }
  const weights = new Float64Array(count).fill(1 / count);
  const draws: Particles = { count, size: model.size, points, weights, effectiveCount: count };
  return { ...grounds, model, draws, method: "importance" };
};

/** An ordinary chip of the first simulator with something changed. */
const changed =
  (change: (chip: SimulatedChip) => SimulatedChip) =>
  (seed: number, index: number): Bench => {
    const chip = simulatedChip(chipKinds[index % chipKinds.length]!, seededRandom(seed + index));
    return { subject: simulatedSubject(change(chip)), random: seededRandom(seed + 500_000 + index) };
  };

/** Records written down wrongly, and chips and benches beyond the ordinary. */
export const stresses: Readonly<Record<string, Pick<CoverageCase, "bench" | "written">>> = {
  "a limit 0.4 times as soft": {
    bench: changed((chip) => ({ ...chip, softnessMhz: 0.4 * chip.softnessMhz })),
  },
  "a limit 3 times as soft": { bench: changed((chip) => ({ ...chip, softnessMhz: 3 * chip.softnessMhz })) },
  "stray crashes, one in ten hours": { bench: changed((chip) => ({ ...chip, strayPerMinute: 1 / 600 })) },
  "one false pass": {
    bench: changed((chip) => chip),
    written: (row, count) => (count === 2 ? falsePass(row) : row),
  },
  "a room six degrees off, temperatures measured": {
    bench: changed((chip) => ({ ...chip, roomC: 29 })),
    written: (row) => ({ ...row, ambientC: 23 }),
  },
};

const falsePass = (row: EvidenceRow): EvidenceRow =>
  row.outcome === "pass" ? row : { ...row, outcome: "pass", durationS: 1200, loadTempC: null };
