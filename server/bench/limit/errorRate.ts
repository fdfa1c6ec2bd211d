import type { Vector } from "../../numerics/cholesky.ts";
import type { Chip } from "../things/chip.ts";
import type { EvidenceRow } from "../things/evidenceRow.ts";

/**
 * Corrected errors of core and cache as evidence of the limit. A chip may make them at a rate that rises with the clock as
 * its failures do, so many e-folds above theirs, besides some that no clock explains; or the latter alone. Counts scatter
 * more than chance alone would have it, for errors come in bursts: they are geometric about what was expected.
 */
const ratePrior = {
  /** So many of the chips that count any make errors with the clock. */
  makes: 0.03,
  /** The logarithm of errors for each failure: how far before failing they begin differs widely. */
  perFailure: { mean: 5, sd: 3 },
  /** The logarithm of errors a minute that no clock explains: one in five hours, give or take a factor of 25. */
  beside: { mean: Math.log(1 / 300), sd: 2 },
} as const;

/** One count in so many fits nothing. */
const oddShare = 0.015;

/** Those corrected in memory or on the bus say nothing of a core's clock. */
const otherPlaces: ReadonlySet<string> = new Set(["memory", "bus"]);

/** Corrected errors of core and cache; null where nobody counted any, or those of other places alone. */
export function clockErrorsOf({ correctedErrors, correctedErrorsAt }: EvidenceRow): number | null {
  if (correctedErrorsAt === null) return correctedErrors;
  const own = Object.entries(correctedErrorsAt).filter(([where]) => !otherPlaces.has(where.toLowerCase()));
  return own.length === 0 ? null : own.reduce((sum, [, errors]) => sum + errors, 0);
}

/**
 * Whether the errors that attempts counted say something of the limit: those of core and cache do, once any was counted.
 * Where all counted none, the chip most likely makes none at all, and nothing is read into it.
 */
export const errorsSpeak = ({ kind }: Pick<Chip, "kind">, rows: readonly EvidenceRow[]): boolean =>
  kind !== "memory" && rows.some((row) => (clockErrorsOf(row) ?? 0) > 0);

/** Which records counted, how many each, over which minutes, and where the two rates stand among the coordinates. */
export type ErrorColumns = Readonly<{
  records: Int32Array;
  counts: Float64Array;
  times: Float64Array;
  minutes: Float64Array;
  place: number;
  coordinates: 0 | 2;
}>;

type Counting = Readonly<{ errors: number | null; count: number; minutesFrom: number; minutesMore: number }>;

export function errorColumnsOf(records: readonly Counting[], place: number): ErrorColumns {
  const counting = records.flatMap(({ errors }, i) => (errors === null ? [] : [i]));
  const column = (of: (record: Counting) => number): Float64Array =>
    Float64Array.from(counting, (i) => of(records[i]!));
  return {
    records: Int32Array.from(counting),
    counts: column(({ errors }) => errors ?? 0),
    times: column(({ count }) => count),
    minutes: column(({ minutesFrom, minutesMore }) => minutesFrom + minutesMore / 2),
    place,
    coordinates: counting.length > 0 ? 2 : 0,
  };
}

/** The log chance of a count, and how it moves with the mean that was expected. */
type Told = { log: number; byMean: number };

function tellCount(count: number, expected: number, told: Told): void {
  const mean = Math.max(1e-12, expected);
  const log = count * Math.log(mean) - (count + 1) * Math.log1p(mean);
  const fitting = (1 - oddShare) * Math.exp(log);
  const chance = fitting + oddShare / ((count + 1) * (count + 2));
  told.log = Math.log(chance);
  told.byMean = (fitting / chance) * (count / mean - (count + 1) / (1 + mean));
}

/** Writes how a log chance moves with the coordinates of the rates, and tells how it moves with the logarithm of a record's failures. */
type Slopes = Readonly<{ into: Float64Array; each: (record: number, byLogFailures: number) => void }>;

/**
 * The log chance of all counts at a point: of a chip whose errors rise with the clock, or of one where none does.
 * `failuresOf` gives how many failures were to be expected of a record.
 */
export function errorsTold(
  columns: ErrorColumns,
  at: Vector,
  failuresOf: (record: number) => number,
  slopes?: Slopes,
): number {
  const { records, counts, times, minutes, place } = columns;
  const { makes, perFailure, beside } = ratePrior;
  const errorsEach = Math.exp(perFailure.mean + perFailure.sd * at[place]!);
  const strays = Math.exp(beside.mean + beside.sd * at[place + 1]!);
  const told: Told = { log: 0, byMean: 0 };
  let [making, without] = [Math.log(makes), Math.log(1 - makes)];
  for (let j = 0; j < records.length; j++) {
    const byStrays = strays * minutes[j]!;
    tellCount(counts[j]!, byStrays, told);
    without += times[j]! * told.log;
    tellCount(counts[j]!, byStrays + errorsEach * failuresOf(records[j]!), told);
    making += times[j]! * told.log;
  }
  const most = Math.max(making, without);
  const log = most + Math.log(Math.exp(making - most) + Math.exp(without - most));
  if (slopes === undefined) return log;
  const share = Math.exp(making - log);
  for (let j = 0; j < records.length; j++) {
    const byStrays = strays * minutes[j]!;
    const byClock = errorsEach * failuresOf(records[j]!);
    tellCount(counts[j]!, byStrays, told);
    const alone = (1 - share) * times[j]! * told.byMean;
    tellCount(counts[j]!, byStrays + byClock, told);
    const both = share * times[j]! * told.byMean;
    slopes.into[place]! += perFailure.sd * both * byClock;
    slopes.into[place + 1]! += beside.sd * (alone + both) * byStrays;
    slopes.each(records[j]!, both * byClock);
  }
  return log;
}
