import { choleskyOf, choleskySolution, inverseFromCholesky } from "../../server/numerics/cholesky.ts";
import type { ForecastBin } from "../../server/numerics/forecastBins.ts";
import type { LinearPrior, Wandering } from "../../server/numerics/forecastCells.ts";

/** One cell of the forecast written down from the definition: a normal for all bins at once, nothing reduced or shared. */
export function slowForecastCell(
  bins: readonly ForecastBin[],
  scatter: number,
  wandering: Wandering,
  driftSpan: number,
  quickTime: number,
  slowTime: number,
  prior: LinearPrior,
) {
  const design = bins.map((bin) => [
    bin.centre / driftSpan,
    -meanOver(bin, (x) => Math.exp(-x / quickTime)),
    -meanOver(bin, (x) => Math.exp(-x / slowTime)),
    1,
  ]);
  const noise = bins.map((a, i) =>
    bins.map(
      (b, j) =>
        meanOver(a, (x) =>
          meanOver(b, (y) => wandering.deviation ** 2 * Math.exp(-Math.abs(x - y) / wandering.memory)),
        ) + (i === j ? scatter / a.count + 0.0025 : 0),
    ),
  );
  const whole = noise.map((row, i) =>
    row.map((value, j) =>
      [0, 1, 2, 3].reduce((sum, k) => sum + (design[i]![k]! * design[j]![k]!) / prior.weight[k]!, value),
    ),
  );
  const expected = design.map((row) => row.reduce((sum, value, k) => sum + value * prior.centre[k]!, 0));
  const off = bins.map((bin, i) => bin.mean - expected[i]!);
  const lower = choleskyOf(whole)!;
  const solved = choleskySolution(lower, off);
  const logDeterminant = lower.reduce((sum, row, at) => sum + 2 * Math.log(row[at]!), 0);
  const precision = inverseFromCholesky(choleskyOf(noise)!);
  const normal = [0, 1, 2, 3].map((a) =>
    [0, 1, 2, 3].map((b) =>
      bins.reduce(
        (sum, _, i) =>
          bins.reduce((inner, __, j) => inner + design[i]![a]! * precision[i]![j]! * design[j]![b]!, sum),
        a === b ? prior.weight[a]! : 0,
      ),
    ),
  );
  const right = [0, 1, 2, 3].map((a) =>
    bins.reduce(
      (sum, _, i) =>
        bins.reduce((inner, bin, j) => inner + design[i]![a]! * precision[i]![j]! * bin.mean, sum),
      prior.weight[a]! * prior.centre[a]!,
    ),
  );
  const factor = choleskyOf(normal)!;
  return {
    logWeight: -0.5 * (logDeterminant + off.reduce((sum, value, i) => sum + value * solved[i]!, 0)),
    mean: choleskySolution(factor, right)[3]!,
    deviation: Math.sqrt(inverseFromCholesky(factor)[3]![3]!),
    slow: choleskySolution(factor, right)[2]!,
  };
}

/** By eighty slices. */
function meanOver({ centre, width }: ForecastBin, value: (x: number) => number): number {
  const slices = 80;
  let sum = 0;
  for (let i = 0; i < slices; i += 1) sum += value(centre - width / 2 + ((i + 0.5) * width) / slices);
  return sum / slices;
}
