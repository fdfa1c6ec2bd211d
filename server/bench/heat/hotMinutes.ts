import { shareToCome } from "./warmUp.ts";

const warmUpMinutes = 30;
const slicesPerMinute = 12;
const slices = warmUpMinutes * slicesPerMinute;

/** Steepnesses the integral is kept for: none, then from 0.05 up by a quarter of an e-fold, to where nothing counts before the level. */
const lowestSteepness = 0.05;
const perFold = 4;
const folds = 7.5;
const rows = 1 + perFold * folds + 1;
const steepnessAt = (row: number): number =>
  row === 0 ? 0 : lowestSteepness * Math.exp((row - 1) / perFold);

/**
 * Effective hot minutes of a run: a cold chip hardly ever fails at a clock that fells a hot one, so the minutes before
 * the level count for less. At 0.34 a degree, ten minutes from cold hold about three, an hour about 53.
 * The integral of exp(-hazardPerC (T_steady - T(t))) over the run, `warmUpC` the way from the start to the level, and
 * `hazardPerC` how many e-folds of hazard a degree is worth.
 */
export function hotMinutes(minutes: number, warmUpC: number, hazardPerC: number): number {
  const steepness = hazardPerC * Math.max(0, warmUpC);
  const exact =
    steepness <= lowestSteepness
      ? steepness / lowestSteepness
      : 1 + perFold * Math.log(steepness / lowestSteepness);
  const row = Math.min(Math.floor(exact), rows - 2);
  const least = steepnessAt(row);
  const share = Math.min(1, (steepness - least) / (steepnessAt(row + 1) - least));
  return (1 - share) * integralAt(row, minutes) + share * integralAt(row + 1, minutes);
}

function integralAt(row: number, minutes: number): number {
  const start = row * (slices + 1);
  if (minutes >= warmUpMinutes) return integrals[start + slices]! + (minutes - warmUpMinutes);
  const place = Math.max(0, minutes) * slicesPerMinute;
  const below = Math.floor(place);
  const from = integrals[start + below]!;
  return from + (place - below) * (integrals[start + below + 1]! - from);
}

const integrals = integralsOf();

function integralsOf(): Float64Array {
  const table = new Float64Array(rows * (slices + 1));
  for (let row = 0; row < rows; row++) {
    const steepness = steepnessAt(row);
    const start = row * (slices + 1);
    for (let slice = 1; slice <= slices; slice++) {
      const middle = (slice - 0.5) / slicesPerMinute;
      table[start + slice] =
        table[start + slice - 1]! + Math.exp(-steepness * shareToCome(middle)) / slicesPerMinute;
    }
  }
  return table;
}
