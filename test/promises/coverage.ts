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
import {
  chipKinds,
  ranOn,
  type SimulatedChip,
  simulatedChip,
  trueClockAt,
} from "../support/simulatedChip.ts";
import { type Bench, hazard, questionFor, sixVoltages } from "./walks.ts";

/** How often the 90 % interval holds the truth, how wide it is, and how often the truth lies above its middle. */
export type Coverage = Readonly<{ limit: number; voltage: number; widthMhz: number; above: number }>;

export type Fitting = (grounds: LimitGrounds, seed: number) => LimitFit;

export type CoverageCase = Readonly<{
  chips: number;
  attempts: number;
  /** Chips and benches of their own for each number. */
  seed: number;
  minutes?: readonly number[];
  /** What differs from an ordinary chip, and from the truth in what is written down. */
  chip?: (chip: SimulatedChip) => SimulatedChip;
  written?: Bench["written"];
  fit?: Fitting;
}>;

export function coverageOf({ chips, attempts, seed, minutes, chip, written, fit }: CoverageCase): Coverage {
  let held = 0;
  let voltagesHeld = 0;
  let asked = 0;
  let width = 0;
  let above = 0;
  for (let k = 0; k < chips; k++) {
    const random = seededRandom(seed + 1000 * attempts + k);
    const ordinary = simulatedChip(chipKinds[k % 3]!, random);
    const truth = chip?.(ordinary) ?? ordinary;
    const rows = scatteredAttempts(
      { chip: truth, random, ...(written ? { written } : {}) },
      attempts,
      minutes,
    );
    const fitted = (fit ?? fitOf)(limitGroundsOf(questionFor(rows, 1))!, 1);
    const draws = limitDrawsOf(fitted, fitted.draws, "all-core");
    for (const voltageMv of new Set(rows.map((row) => row.voltageMv))) {
      const [low, mid, high] = weightedQuantilesOf(
        clocksAtHazard(draws, voltageMv, hazard),
        draws.weights,
        [0.05, 0.5, 0.95],
      ) as [number, number, number];
      const clock = trueClockAt(truth, voltageMv, hazard);
      asked += 1;
      if (low <= clock && clock <= high) held += 1;
      width += high - low;
      if (clock > mid) above += 1;
    }
    const clockMhz = trueClockAt(truth, 1275, hazard);
    const needed = voltagesForClock(draws, clockMhz, hazard, { lowMv: 700, highMv: 2000 });
    const [lowMv, highMv] = weightedQuantilesOf(
      needed.map((mv) => Math.min(mv, 1e6)),
      draws.weights,
      [0.05, 0.95],
    ) as [number, number];
    if (lowMv <= 1275 && 1275 <= highMv) voltagesHeld += 1;
  }
  return {
    limit: held / asked,
    voltage: voltagesHeld / chips,
    widthMhz: width / asked,
    above: above / asked,
  };
}

/** Attempts as a tester might make them: at six voltages, within 80 MHz or so of the limit, of several lengths. */
function scatteredAttempts(
  bench: Bench,
  attempts: number,
  minutes: readonly number[] = [10, 20, 60],
): EvidenceRow[] {
  const { chip, random } = bench;
  return Array.from({ length: attempts }, (_, i) => {
    const voltageMv = sixVoltages[random.index(sixVoltages.length)]!;
    const clockMhz = 25 * Math.round((trueClockAt(chip, voltageMv, hazard) + 80 * random.normal()) / 25);
    const trial = { clockMhz, voltageMv, minutes: minutes[random.index(minutes.length)]! };
    const { row } = ranOn(chip, trial, random);
    return bench.written?.(row, i) ?? row;
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

/** Records written down wrongly, and chips and benches beyond the ordinary. */
export const stresses: Readonly<Record<string, Pick<CoverageCase, "chip" | "written">>> = {
  "a limit 0.4 times as soft": { chip: (chip) => ({ ...chip, softnessMhz: 0.4 * chip.softnessMhz }) },
  "a limit 3 times as soft": { chip: (chip) => ({ ...chip, softnessMhz: 3 * chip.softnessMhz }) },
  "stray crashes, one in ten hours": { chip: (chip) => ({ ...chip, strayPerMinute: 1 / 600 }) },
  "one false pass": { written: (row, count) => (count === 2 ? falsePass(row) : row) },
  "a room six degrees off, temperatures measured": {
    chip: (chip) => ({ ...chip, roomC: 29 }),
    written: (row) => ({ ...row, ambientC: 23 }),
  },
};

const falsePass = (row: EvidenceRow): EvidenceRow =>
  row.outcome === "pass" ? row : { ...row, outcome: "pass", durationS: 1200, loadTempC: null };
