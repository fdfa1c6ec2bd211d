import type { Vector } from "../../numerics/cholesky.ts";
import type { LogDensity } from "../../numerics/logDensity.ts";
import type { KnobColumn } from "../order/knobShifts.ts";
import { errorColumnsOf, errorsTold } from "./errorRate.ts";
import { depthBelowTurn, lowReferenceTempC, turnSlope } from "./heatTurn.ts";
import { hotAt, hotSlopeAt, hotTablesOf } from "./hotTables.ts";
import { addKnobGradient, knobTermsOf, movedByKnobs } from "./knobEffects.ts";
import type { LimitRecord } from "./limitEvidence.ts";
import type { LimitFrame } from "./limitFrame.ts";
import {
  type LimitParameters,
  logHazardAtLimit,
  logPrior,
  parametersAt,
  place,
  referenceTempC,
  workloadDeviation,
} from "./limitParameters.ts";
import {
  joinSides,
  movedByDroop,
  type PlacedColumns,
  placedColumnsOf,
  sharesOfSides,
  withSides,
} from "./placing.ts";
import {
  chanceLowestWrong,
  chanceOfReach,
  noStarts,
  noteFailed,
  noteUp,
  reachSlopes,
  type StartsReach,
} from "./startsReach.ts";
import { wrongCrash, wrongPass, wrongShare } from "./wrongRecords.ts";

/**
 * The survival model of a chip in a build. Failures come at hazard lambda per minute,
 *   ln lambda = ln(1/60) + (ln f - mu) / sigma,
 *   mu = ln F + e x - e k x^2 / 2 - c(x) (T - 70) + workload + board + knobs,  x = ln(V / reference voltage),
 *   c(x) = c, far below the reference less by the turn for each e-fold, about a lower temperature than 70,
 * besides stray crashes that no setting explains. For the clock's part time counts in hot minutes. Every parameter is a
 * standard normal coordinate under its prior. A voltage that was read and not set is uncertain: the error it shares with
 * others is a coordinate too, its own is summed over.
 */
export type LimitModel = LogDensity &
  Readonly<{
    frame: LimitFrame;
    records: readonly LimitRecord[];
    /** Index of a workload among the coordinates, undefined for the heaviest, which has none. */
    workloadPlace: (workloadId: string) => number | undefined;
    /** Index of the first column of the knobs among the coordinates. */
    knobPlace: number;
    /** Writes the chance that one attempt of each record is wrong, at a point. */
    wrongChances: (at: Vector, into: Float64Array) => void;
    /** How far up the starts on record went, at a point, in e-folds above once an hour: the lowest that failed, and the highest that came up. */
    startsAt: (at: Vector) => Readonly<{ failed: number; up: number }>;
    /** The logarithm of the limit at a record's setting, at a point. */
    logLimitAt: (record: number, at: Vector) => number;
  }>;

/** Exponentials beyond this many e-folds go on as straight lines, so that nothing overflows. */
const steepest = 20;
const steepestHazard = Math.exp(steepest);
/** A hazard of one in a hundred years is none. */
const faintest = -18;

export function limitModelOf(
  records: readonly LimitRecord[],
  frame: LimitFrame,
  workloadIds: readonly string[],
  boards: number,
  knobs: readonly KnobColumn[] = [],
): LimitModel {
  const knobPlace = place.offsets + workloadIds.length + boards;
  const columns = columnsOf(records, frame, workloadIds, { knobs, knobPlace });
  const { placed } = columns;
  const size = sizeOf(columns, knobPlace + knobs.length, frame);

  const workloadPlace = (workloadId: string): number | undefined => {
    const index = workloadIds.indexOf(workloadId);
    return index < 0 ? undefined : place.offsets + index;
  };

  const { times } = columns;
  const chances = new Float64Array(columns.count);

  const likelihood = (at: Vector): number => {
    const p = parametersAt(at, frame);
    const reach = chancesInto(chances, columns, p, at);
    let sum =
      columns.errors.coordinates === 0 ? 0 : errorsTold(columns.errors, at, failuresAt(columns, p, at));
    if (placed !== null) joinSides(placed, chances);
    let product = chanceOfReach(reach);
    for (let i = 0; i < chances.length; i++) {
      if (times[i]! === 1) product *= chances[i]!;
      else sum += times[i]! * Math.log(chances[i]!);
      // One logarithm for many records: a chance is never under 0.001, so the product holds out this long.
      if (product < 1e-280) {
        sum += Math.log(product);
        product = 1;
      }
    }
    return sum + Math.log(product);
  };

  const gradient = (at: Vector, into: Float64Array): number => {
    let sum = 0;
    for (let i = 0; i < size; i++) {
      into[i] = -at[i]!;
      sum -= at[i]! ** 2 / 2;
    }
    const p = parametersAt(at, frame);
    const reach = noStarts();
    const shares = placed === null ? null : sharesAt(columns, placed, chances, p, at);
    for (let i = 0; i < columns.count; i++) {
      const eta = etaOf(columns, i, p, at);
      noteStart(reach, columns, i, eta - logHazardAtLimit);
      if (columns.atStart[i] === 1) continue;
      const told = addRecordGradient(columns, i, p, frame, eta, shares?.[i] ?? 1, at, into);
      sum += shares === null ? told : columns.times[i]! * Math.log(chances[i]!);
    }
    if (columns.errors.coordinates > 0) sum += addErrorsGradient(columns, p, frame, at, into);
    return sum + addStartsGradient(reach, columns, p, frame, at, into);
  };

  return {
    size,
    frame,
    records,
    workloadPlace,
    knobPlace,
    likelihood,
    gradient,
    value: (at) => {
      let prior = 0;
      for (let i = 0; i < size; i++) prior -= at[i]! ** 2 / 2;
      return prior + likelihood(at);
    },
    startsAt: (at) => {
      const p = parametersAt(at, frame);
      const reach = noStarts();
      for (let i = 0; i < columns.count; i++)
        noteStart(reach, columns, i, etaOf(columns, i, p, at) - logHazardAtLimit);
      return { failed: reach.failed[0].efolds, up: reach.up };
    },
    logLimitAt: (record, at) => muOf(columns, record, parametersAt(at, frame), at),
    wrongChances: (at, into) => {
      const reach = chancesInto(chances, columns, parametersAt(at, frame), at);
      if (placed !== null) joinSides(placed, chances);
      for (let i = 0; i < into.length; i++)
        into[i] = (columns.failed[i]! === 1 ? wrongCrash : wrongPass) / chances[i]!;
      const [lowest] = reach.failed;
      if (lowest.record >= 0) into[lowest.record] = chanceLowestWrong(reach);
    },
  };
}

type Columns = ReturnType<typeof columnsOf>;

type KnobColumns = Readonly<{ knobs: readonly KnobColumn[]; knobPlace: number }>;

function columnsOf(
  own: readonly LimitRecord[],
  frame: LimitFrame,
  workloadIds: readonly string[],
  { knobs, knobPlace }: KnobColumns,
) {
  const records = withSides(own);
  const column = (of: (record: LimitRecord) => number): Float64Array => Float64Array.from(records, of);
  const workload = (record: LimitRecord): number => {
    const index = workloadIds.indexOf(record.workloadId);
    return index < 0 ? -1 : place.offsets + index;
  };
  const boardStart = place.offsets + workloadIds.length - 1;
  const errors = errorColumnsOf(own, knobPlace + knobs.length);
  return {
    count: records.length,
    logVoltage: column(({ voltageMv }) => Math.log(voltageMv / frame.voltageMv)),
    logClock: column(({ clockMhz }) => Math.log(clockMhz)),
    warmth: column(({ steadyTempC }) => steadyTempC - referenceTempC),
    lowWarmth: column(
      ({ steadyTempC, voltageMv }) =>
        (steadyTempC - lowReferenceTempC) * depthBelowTurn(Math.log(voltageMv / frame.voltageMv)),
    ),
    failed: column(({ failed }) => (failed ? 1 : 0)),
    atStart: Uint8Array.from(records, ({ atStart }) => (atStart ? 1 : 0)),
    hot: hotTablesOf(records),
    minutesFrom: column(({ minutesFrom }) => minutesFrom),
    minutesMore: column(({ minutesMore }) => minutesMore),
    times: column(({ count }) => count),
    workload: Int32Array.from(records, workload),
    board: Int32Array.from(records, ({ build }) => (build === 0 ? -1 : boardStart + build)),
    boardDeviation: frame.boardDeviation,
    knobs: knobTermsOf(records, knobs, knobPlace),
    errors,
    placed: placedColumnsOf(own, records, knobPlace + knobs.length + errors.coordinates),
  };
}

/** How many coordinates there are: those before the errors, theirs, those of the droops, and of heat that turns the last. */
const sizeOf = ({ errors, placed }: Columns, before: number, frame: LimitFrame): number =>
  before + errors.coordinates + (placed?.coordinates ?? 0) + (frame.heatTurns ? 1 : 0);

/** Leaves the chances of all records among `chances`, those of a reading's three voltages as one. */
function sharesAt(
  columns: Columns,
  placed: PlacedColumns,
  chances: Float64Array,
  p: LimitParameters,
  at: Vector,
): Float64Array {
  chancesInto(chances, columns, p, at);
  const shares = sharesOfSides(placed, chances);
  joinSides(placed, chances);
  return shares;
}

const logVoltageAt = ({ logVoltage, placed }: Columns, i: number, at: Vector): number =>
  placed === null ? logVoltage[i]! : logVoltage[i]! + movedByDroop(placed, i, at);

function noteStart(reach: StartsReach, { atStart, times, placed }: Columns, i: number, efolds: number): void {
  if (placed !== null && i >= placed.records) return;
  if (atStart[i] === 1) noteFailed(reach, i, efolds, times[i]!);
  else noteUp(reach, i, efolds);
}

const etaOf = (columns: Columns, i: number, p: LimitParameters, at: Vector): number =>
  logHazardAtLimit + (columns.logClock[i]! - muOf(columns, i, p, at)) / p.sigma;

function muOf(columns: Columns, i: number, p: LimitParameters, at: Vector): number {
  const x = logVoltageAt(columns, i, at);
  let mu = p.logLimit + p.slope * x - p.halfBend * x * x - p.heat * warmthAt(columns, i, p);
  if (columns.workload[i]! >= 0) mu += workloadDeviation * at[columns.workload[i]!]!;
  if (columns.board[i]! >= 0) mu += columns.boardDeviation * at[columns.board[i]!]!;
  if (columns.knobs.isShifted[i]! === 1) mu += movedByKnobs(columns.knobs, i, at);
  return mu;
}

/** Degrees over the reference, less those that cost nothing at the voltage of its record. */
const warmthAt = ({ warmth, lowWarmth }: Columns, i: number, { turn }: LimitParameters): number =>
  warmth[i]! - turn * lowWarmth[i]!;

export const hazardOf = (eta: number): number =>
  eta > steepest ? steepestHazard * (1 + eta - steepest) : eta > faintest ? Math.exp(eta) : 0;

/**
 * The chance of what each record tells, wrong records included; 1 for a failed start, which is told by how far up the starts went. The innermost loop of every fit: small and large
 * exponents take no exponential, and the columns are at hand.
 */
function chancesInto(chances: Float64Array, columns: Columns, p: LimitParameters, at: Vector): StartsReach {
  const { logClock, warmth, lowWarmth, failed, atStart, minutesFrom, minutesMore, workload, board } = columns;
  const { boardDeviation, knobs } = columns;
  const reach = noStarts();
  const { from, more: within } = columns.hot;
  const { logLimit, slope, halfBend, heat, turn, stray, hot } = p;
  const perClock = 1 / p.sigma;
  for (let i = 0; i < chances.length; i++) {
    const x = logVoltageAt(columns, i, at);
    let mu = logLimit + (slope - halfBend * x) * x - heat * (warmth[i]! - turn * lowWarmth[i]!);
    if (workload[i]! >= 0) mu += workloadDeviation * at[workload[i]!]!;
    if (board[i]! >= 0) mu += boardDeviation * at[board[i]!]!;
    if (knobs.isShifted[i]! === 1) mu += movedByKnobs(knobs, i, at);
    const efolds = (logClock[i]! - mu) * perClock;
    noteStart(reach, columns, i, efolds);
    if (atStart[i]! === 1) {
      chances[i] = 1;
      continue;
    }
    const lambda = hazardOf(logHazardAtLimit + efolds);
    const spent = lambda * hotAt(from, i, hot) + stray * minutesFrom[i]!;
    const before = spent < 1e-3 ? 1 - spent + (spent * spent) / 2 : spent < 40 ? Math.exp(-spent) : 0;
    if (failed[i]! === 0) {
      chances[i] = (1 - wrongShare) * before + wrongPass;
    } else if (before < 1e-12) {
      chances[i] = wrongCrash;
    } else {
      const more = lambda * hotAt(within, i, hot) + stray * minutesMore[i]!;
      const ended = more < 1e-4 ? more - (more * more) / 2 : more < 40 ? 1 - Math.exp(-more) : 1;
      chances[i] = (1 - wrongShare) * before * ended + wrongCrash;
    }
  }
  return reach;
}

/** Adds the derivatives of one record's log chance, or of a share of it, and gives that log chance. No object is made: it is asked very often. */
function addRecordGradient(
  columns: Columns,
  i: number,
  p: LimitParameters,
  frame: LimitFrame,
  eta: number,
  share: number,
  at: Vector,
  into: Float64Array,
): number {
  const isFailed = columns.failed[i]! === 1;
  const { from, more } = columns.hot;
  const lambda = hazardOf(eta);
  const hot = hotAt(from, i, p.hot);
  const hotMore = isFailed ? hotAt(more, i, p.hot) : 0;
  const minutes = columns.minutesFrom[i]!;
  const minutesMore = columns.minutesMore[i]!;
  const before = (1 - wrongShare) * Math.exp(-(lambda * hot + p.stray * minutes));
  const survived = isFailed ? Math.exp(-(lambda * hotMore + p.stray * minutesMore)) : 0;
  const chance = before * (1 - survived) + (isFailed ? wrongCrash : wrongPass);
  // By hot minutes within the window and before it, times a hazard: how the log chance moves.
  const byMore = (share * columns.times[i]! * before * survived) / chance;
  const byFrom = (share * columns.times[i]! * before * (1 - survived)) / chance;
  const byEta = (byMore * hotMore - byFrom * hot) * Math.min(lambda, steepestHazard);
  addEtaGradient(columns, i, p, frame, byEta, eta, at, into);
  into[place.stray]! += (byMore * minutesMore - byFrom * minutes) * logPrior.stray.sd * p.stray;
  if (p.hotMoves > 1e-6) {
    const moreSlope = isFailed ? byMore * hotSlopeAt(more, i, p.hot) : 0;
    const bySteepness = p.hotMoves * lambda * (moreSlope - byFrom * hotSlopeAt(from, i, p.hot));
    into[place.sharpness]! -= p.sharpnessSlope * bySteepness;
    into[place.heat]! += logPrior.heat.sd * bySteepness;
  }
  return columns.times[i]! * Math.log(chance);
}

/** What a change of a record's log hazard does to every coordinate it hangs on. */
function addEtaGradient(
  columns: Columns,
  i: number,
  p: LimitParameters,
  frame: LimitFrame,
  byEta: number,
  eta: number,
  at: Vector,
  into: Float64Array,
): void {
  const byMu = -byEta / p.sigma;
  const x = logVoltageAt(columns, i, at);
  const bent = p.halfBend * x * x;
  into[place.headroom]! += byMu * frame.headroom.sd;
  into[place.slope]! += byMu * logPrior.slope.sd * (p.slope * x - bent);
  into[place.bend]! -= byMu * logPrior.bend.sd * bent;
  into[place.sharpness]! -= p.sharpnessSlope * byEta * (eta - logHazardAtLimit);
  into[place.heat]! -= logPrior.heat.sd * byMu * p.heat * warmthAt(columns, i, p);
  if (frame.heatTurns) into[at.length - 1]! += turnSlope * byMu * p.heat * columns.lowWarmth[i]!;
  if (columns.workload[i]! >= 0) into[columns.workload[i]!]! += byMu * workloadDeviation;
  if (columns.board[i]! >= 0) into[columns.board[i]!]! += byMu * columns.boardDeviation;
  if (columns.knobs.isShifted[i]! === 1) addKnobGradient(columns.knobs, i, byMu, at, into);
  const { placed } = columns;
  if (placed !== null)
    into[placed.droops[i]!]! += byMu * (p.slope - 2 * p.halfBend * x) * placed.deviations[i]!;
}

/** How many failures were to be expected of a record, at a point. A failure lay, on the middle, half way through its window. */
const failuresAt =
  (columns: Columns, p: LimitParameters, at: Vector) =>
  (i: number): number =>
    hazardOf(etaOf(columns, i, p, at)) * hotSpent(columns, i, p, hotAt);

const hotSpent = ({ hot, failed }: Columns, i: number, p: LimitParameters, of: typeof hotAt): number =>
  of(hot.from, i, p.hot) + (failed[i]! === 1 ? of(hot.more, i, p.hot) / 2 : 0);

function addErrorsGradient(
  columns: Columns,
  p: LimitParameters,
  frame: LimitFrame,
  at: Vector,
  into: Float64Array,
): number {
  const each = (i: number, byLog: number): void => {
    const eta = etaOf(columns, i, p, at);
    addEtaGradient(columns, i, p, frame, byLog / Math.max(1, 1 + eta - steepest), eta, at, into);
    const bySteepness =
      (p.hotMoves * byLog * hotSpent(columns, i, p, hotSlopeAt)) / hotSpent(columns, i, p, hotAt);
    into[place.sharpness]! -= p.sharpnessSlope * bySteepness;
    into[place.heat]! += logPrior.heat.sd * bySteepness;
  };
  return errorsTold(columns.errors, at, failuresAt(columns, p, at), { into, each });
}

/** The starts hang on a few records alone. */
function addStartsGradient(
  reach: StartsReach,
  columns: Columns,
  p: LimitParameters,
  frame: LimitFrame,
  at: Vector,
  into: Float64Array,
): number {
  return reachSlopes(reach, (record, slope) =>
    addEtaGradient(columns, record, p, frame, slope, etaOf(columns, record, p, at), at, into),
  );
}
