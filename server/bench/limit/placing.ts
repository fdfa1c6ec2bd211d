import type { Vector } from "../../numerics/cholesky.ts";
import type { PlacedAttempt } from "../things/placedAttempt.ts";

/** How surely a record stands at its voltage. Deviations in mV, one standard deviation each. */
export type Placing = Readonly<{
  /** Of its own reading. */
  readDeviationMv: number;
  /** Of the droop, which it shares with all placed by the same. */
  droopDeviationMv: number;
  /** Which droop, counted from nothing. */
  droop: number;
}>;

/** By the attempt's id. Every build has droops of its own, also where load, place of reading and load-line are alike. */
export function placingsOf(
  byBuild: readonly (readonly PlacedAttempt[])[],
): Readonly<Record<string, Placing>> {
  const named = byBuild.flatMap((placed, build) =>
    placed.map((one) => ({ ...one, droop: `${build} ${one.droop}` })),
  );
  const droops = [...new Set(named.map(({ droop }) => droop))];
  return Object.fromEntries(
    named.map(({ row, readDeviationMv, droopDeviationMv, droop }) => [
      row.id,
      { readDeviationMv, droopDeviationMv, droop: droops.indexOf(droop) },
    ]),
  );
}

type Standing = Readonly<{ voltageMv: number; placing: Placing | null; errors: number | null }>;

/**
 * A reading's own error is summed over at seven voltages: Gauss and Hermite's rule (Abramowitz and Stegun, table 25.10, for
 * the standard normal), as limits are sharper than readings. The middle one stands where the record does; the others follow
 * all records, those of each together.
 */
const middleWeight = 0.457142857142857;
const sides = [1.154405394739968, 2.366759410734541, 3.750439717725742].flatMap((by, i) =>
  [-by, by].map((deviations) => ({
    deviations,
    weight: [0.240123178605013, 0.030757123967586, 0.000548268855972][i]!,
  })),
);

/** The records, and behind them the side voltages of each that was placed by a reading. */
export function withSides<Of extends Standing>(records: readonly Of[]): readonly Of[] {
  const beside = records.flatMap((record) => {
    const { placing, voltageMv } = record;
    return placing === null
      ? []
      : sides.map(({ deviations }) => ({
          ...record,
          voltageMv: Math.max(1, voltageMv + deviations * placing.readDeviationMv),
        }));
  });
  return beside.length === 0 ? records : [...records, ...beside];
}

/** Where those placed by a reading stand among the records, and how the shared error of their droop moves them. */
export type PlacedColumns = Readonly<{
  /** How many records there are, sides not counted. */
  records: number;
  middles: Int32Array;
  /** Of each record and side the coordinate of its droop, and how far that moves the logarithm of its voltage. */
  droops: Int32Array;
  deviations: Float64Array;
  coordinates: number;
}>;

/** Null where none is placed by a reading. */
export function placedColumnsOf(
  records: readonly Standing[],
  sided: readonly Standing[],
  place: number,
): PlacedColumns | null {
  if (records.length === sided.length) return null;
  const middles = records.flatMap(({ placing }, i) => (placing === null ? [] : [i]));
  return {
    records: records.length,
    middles: Int32Array.from(middles),
    droops: Int32Array.from(sided, ({ placing }) => place + (placing?.droop ?? 0)),
    deviations: Float64Array.from(
      sided,
      ({ placing, voltageMv }) => (placing?.droopDeviationMv ?? 0) / voltageMv,
    ),
    coordinates: 1 + Math.max(...middles.map((i) => records[i]!.placing!.droop)),
  };
}

/** How far the shared error of its droop moves the logarithm of a record's voltage, at a point. */
export const movedByDroop = ({ droops, deviations }: PlacedColumns, record: number, at: Vector): number =>
  deviations[record]! * at[droops[record]!]!;

/** Makes the chances at the voltages of each reading one, in place of the middle's; the sides say nothing more. */
export function joinSides(placed: PlacedColumns, chances: Float64Array): void {
  placed.middles.forEach((middle, k) => {
    chances[middle] = chanceOfReading(placed, k, chances);
    chances.fill(1, sideOf(placed, k, 0), sideOf(placed, k, sides.length));
  });
}

/** What share of the chance of its reading lies at each record's and side's voltage; all of it where none was read. */
export function sharesOfSides(placed: PlacedColumns, chances: Float64Array): Float64Array {
  const shares = new Float64Array(chances.length).fill(1);
  placed.middles.forEach((middle, k) => {
    const whole = chanceOfReading(placed, k, chances);
    shares[middle] = (middleWeight * chances[middle]!) / whole;
    for (let j = 0; j < sides.length; j++) {
      const side = sideOf(placed, k, j);
      shares[side] = (sides[j]!.weight * chances[side]!) / whole;
    }
  });
  return shares;
}

/** Where the side of a number stands, of the reading of a number. */
const sideOf = ({ records }: PlacedColumns, reading: number, side: number): number =>
  records + sides.length * reading + side;

function chanceOfReading(placed: PlacedColumns, reading: number, chances: Float64Array): number {
  let sum = middleWeight * chances[placed.middles[reading]!]!;
  for (let j = 0; j < sides.length; j++) sum += sides[j]!.weight * chances[sideOf(placed, reading, j)]!;
  return sum;
}
