import type { Chip } from "../things/chip.ts";

/** How far to either side of an answer's voltage another one is worth knowing, in voltage steps. */
const stepsApart = 4;
/** And so many from any that was tried. */
const leastStepsApart = 2;
const mostVoltages = 6;

/**
 * Where a map might go on from an answer: what was tried already, and a voltage to either side of it, under the ceiling;
 * without one, under the highest that was tried or stock.
 */
export function voltagesBeside(
  answerMv: number,
  triedMv: readonly number[],
  { voltageStepMv, voltageCeilingMv, stockVoltageMv }: Chip,
): number[] {
  const highestMv = voltageCeilingMv ?? Math.max(answerMv, stockVoltageMv ?? 0, ...triedMv);
  const beside = [-2, -1, 1, 2].map((times) => answerMv + times * stepsApart * voltageStepMv);
  const isNew = (mv: number): boolean =>
    mv > 0 &&
    mv <= highestMv &&
    triedMv.every((tried) => Math.abs(tried - mv) >= leastStepsApart * voltageStepMv);
  const near = [...beside.filter(isNew), ...triedMv, answerMv].sort(
    (a, b) => Math.abs(a - answerMv) - Math.abs(b - answerMv),
  );
  return [...new Set(near)].slice(0, mostVoltages).sort((a, b) => a - b);
}
