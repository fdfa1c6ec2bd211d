import type { Vector } from "../../numerics/cholesky.ts";
import { normalCdf } from "../../numerics/distributions.ts";
import { type CoordinateMap, quantileMap, straightMap } from "../../numerics/quantileMap.ts";
import type { KnobColumn } from "../order/knobShifts.ts";

/** A knob that is harder one way takes so much of the limit over the whole range tried: half a normal of this deviation. */
const slopeDeviation = 0.04;
/** Another value of a knob of which nobody knows which way it lies moves the limit by so much, one standard deviation. */
const offsetDeviation = 0.02;

const eitherWay = straightMap(0, offsetDeviation);
let harder: CoordinateMap | undefined;

/** How far a shift of one in a column moves the logarithm of the limit, out of its standard normal coordinate. */
export function knobMapOf({ kind }: Pick<KnobColumn, "kind">): CoordinateMap {
  if (kind === "offset") return eitherWay;
  harder ??= halfNormal(slopeDeviation);
  return harder;
}

function halfNormal(deviation: number): CoordinateMap {
  const by = quantileMap((x) => 2 * normalCdf(x / deviation) - 1, [0, 12 * deviation]);
  return { at: (u) => -by.at(u), slopeAt: (u) => -by.slopeAt(u) };
}

/** The knobs of all records, ready for the innermost loop. */
export type KnobTerms = Readonly<{
  maps: readonly CoordinateMap[];
  /** Index of the first column among the coordinates. */
  place: number;
  /** Of each record its shift in every column, one after another. */
  shifts: Float64Array;
  isShifted: Uint8Array;
}>;

type Shifted = Readonly<{ shift: readonly number[] | null }>;

export function knobTermsOf(
  records: readonly Shifted[],
  columns: readonly KnobColumn[],
  place: number,
): KnobTerms {
  const shifts = new Float64Array(records.length * columns.length);
  records.forEach(({ shift }, i) => {
    if (shift !== null) shifts.set(shift, i * columns.length);
  });
  const isShifted = Uint8Array.from(records, ({ shift }) => (shift === null ? 0 : 1));
  return { maps: columns.map(knobMapOf), place, shifts, isShifted };
}

/** How far the knobs move the logarithm of a record's limit, at a point. */
export function movedByKnobs({ maps, place, shifts }: KnobTerms, record: number, at: Vector): number {
  let moved = 0;
  for (let j = 0; j < maps.length; j++) {
    const shift = shifts[record * maps.length + j]!;
    if (shift !== 0) moved += shift * maps[j]!.at(at[place + j]!);
  }
  return moved;
}

/** Adds what a change of the knobs does to a log chance that moves so much with the logarithm of the limit. */
export function addKnobGradient(
  { maps, place, shifts }: KnobTerms,
  record: number,
  byLogLimit: number,
  at: Vector,
  into: Float64Array,
): void {
  for (let j = 0; j < maps.length; j++) {
    const shift = shifts[record * maps.length + j]!;
    if (shift !== 0) into[place + j]! += byLogLimit * shift * maps[j]!.slopeAt(at[place + j]!);
  }
}
