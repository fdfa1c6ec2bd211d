import { shareToCome } from "./warmUp.ts";

/**
 * How strongly the hazard depends on temperature: the limit falls by 0.075 % per °C, and the hazard grows e-fold per
 * 0.22 % of clock (the middles of what the fit assumes; it need not know the chip's own).
 */
const usualHazardPerC = 0.00075 / 0.0022;

const warmUpMinutes = 30;
const slicesPerMinute = 12;

/**
 * Effective hot minutes of a run: a cold chip hardly ever fails at a clock that fells a hot one, so the minutes before
 * the level count for less. Ten minutes from cold hold about three, an hour about 53.
 * The integral of exp(-(c / sigma) (T_steady - T(t))) over the run, the same constants for every chip: letting them follow
 * the fit's own heat and sharpness makes a sharp chip's short passes prove too much.
 */
export function hotMinutes(minutes: number, steadyTempC: number, startTempC: number): number {
  const steepness = usualHazardPerC * Math.max(0, steadyTempC - startTempC);
  const table = tableFor(Math.round(2 * steepness) / 2);
  if (minutes >= warmUpMinutes) return table[table.length - 1]! + (minutes - warmUpMinutes);
  const place = Math.max(0, minutes) * slicesPerMinute;
  const below = Math.floor(place);
  const from = table[below]!;
  return from + (place - below) * (table[below + 1]! - from);
}

/** The integral at every slice, kept per steepness: it is asked for again and again. */
const tables = new Map<number, Float64Array>();

function tableFor(steepness: number): Float64Array {
  const known = tables.get(steepness);
  if (known !== undefined) return known;
  if (tables.size > 200) tables.clear();
  const table = new Float64Array(warmUpMinutes * slicesPerMinute + 1);
  for (let slice = 1; slice < table.length; slice++) {
    const middle = (slice - 0.5) / slicesPerMinute;
    table[slice] = table[slice - 1]! + Math.exp(-steepness * shareToCome(middle)) / slicesPerMinute;
  }
  tables.set(steepness, table);
  return table;
}
