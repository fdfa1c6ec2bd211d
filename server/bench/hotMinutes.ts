import { shareToCome } from "./warmUp.ts";

/**
 * How strongly the hazard depends on temperature: the limit falls by 0.075 % per °C, and the hazard grows e-fold per
 * 0.22 % of clock (the middles of what the fit assumes; it need not know the chip's own).
 */
export const usualHazardPerC = 0.00075 / 0.0022;

const warmUpMinutes = 30;
const slicesPerMinute = 12;

/**
 * Effective hot minutes of a run: a cold chip hardly ever fails at a clock that fells a hot one, so the minutes before
 * the level count for less. Ten minutes from cold hold about three, an hour about 53.
 * The integral of exp(-(c / sigma) (T_steady - T(t))) over the run.
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

/**
 * Hot minutes and how they change with what differs from chip to chip and cooler to cooler: ln E per ln of the hazard's
 * steepness over temperature, and per ln of how slowly it warms up.
 */
export type HotMinutes = Readonly<{ minutes: number; bySteepness: number; bySlowness: number }>;

export function hotMinutesAround(minutes: number, steadyTempC: number, startTempC: number): HotMinutes {
  const riseC = Math.max(0, steadyTempC - startTempC);
  const at = (steepness: number, slowness: number): number =>
    Math.max(1e-6, slowness * hotMinutes(minutes / slowness, riseC * steepness, 0));
  const steeper = Math.exp(0.45);
  const slower = Math.exp(0.25);
  return {
    minutes: hotMinutes(minutes, steadyTempC, startTempC),
    bySteepness: Math.log(at(steeper, 1) / at(1 / steeper, 1)) / 0.9,
    bySlowness: Math.log(at(1, slower) / at(1, 1 / slower)) / 0.5,
  };
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
