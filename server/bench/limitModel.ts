import type { Vector } from "../numerics/cholesky.ts";
import type { LogDensity } from "../numerics/logDensity.ts";
import type { LimitRecord } from "./limitEvidence.ts";
import type { LimitFrame } from "./limitFrame.ts";

/**
 * The survival model of a chip in a build. Failures come at hazard lambda per minute,
 *   ln lambda = ln(1/60) + (ln f - mu) / sigma,
 *   mu = ln F + e x - e k x^2 / 2 - c (T - 70) + workload + board,  x = ln(V / reference voltage),
 * besides stray crashes that no setting explains. For the clock's part time counts in hot minutes. Every parameter is a
 * standard normal coordinate under its prior.
 */
export const place = {
  headroom: 0,
  slope: 1,
  bend: 2,
  sharpness: 3,
  heat: 4,
  stray: 5,
  offsets: 6,
} as const;

export const referenceTempC = 70;
export const logHazardAtLimit = -Math.log(60);

/** Middles and spreads of the logarithms of slope, bend, sharpness, heat and stray rate before any attempt. */
export const logPrior = {
  slope: { mean: Math.log(0.6), sd: 0.7 },
  bend: { mean: Math.log(1.3), sd: 0.5 },
  /** Wide enough for limits four tenths as soft as usual. */
  sharpness: { mean: Math.log(0.0022), sd: 0.6 },
  heat: { mean: Math.log(0.00075), sd: 0.3 },
  /** One stray crash in 500 hours, give or take a factor of ten. */
  stray: { mean: Math.log(1 / 30_000), sd: Math.log(10) / 1.645 },
} as const;

/** Another workload moves the limit by 1.5 %, another board by 1.2 %, one standard deviation. */
export const workloadDeviation = 0.015;
export const boardDeviation = 0.012;

/** Two records in a hundred are wrong; a wrong one is a pass half the time, and a crash in this window 0.15 of it. */
const wrongShare = 0.02;
const wrongPass = wrongShare * 0.5;
const wrongCrash = wrongShare * 0.15;

export type LimitModel = LogDensity &
  Readonly<{
    frame: LimitFrame;
    records: readonly LimitRecord[];
    /** Index of a workload among the coordinates, undefined for the heaviest, which has none. */
    workloadPlace: (workloadId: string) => number | undefined;
    /** The chance that one attempt of a record is wrong, at a point. */
    wrongChance: (record: number, at: Vector) => number;
    /** The logarithm of the limit at a record's setting, at a point. */
    logLimitAt: (record: number, at: Vector) => number;
  }>;

/** Exponentials beyond this many e-folds go on as straight lines, so that nothing overflows. */
const steepest = 20;

export function limitModelOf(
  records: readonly LimitRecord[],
  frame: LimitFrame,
  workloadIds: readonly string[],
  boards: number,
): LimitModel {
  const size = place.offsets + workloadIds.length + boards;
  const columns = columnsOf(records, frame, workloadIds);

  const workloadPlace = (workloadId: string): number | undefined => {
    const index = workloadIds.indexOf(workloadId);
    return index < 0 ? undefined : place.offsets + index;
  };

  const likelihood = (at: Vector): number => {
    const p = parametersAt(at, frame);
    let sum = 0;
    let product = 1;
    for (let i = 0; i < columns.count; i++) {
      const chance = mixedChance(columns, i, hazardOf(etaOf(columns, i, p, at)), p);
      if (columns.times[i]! === 1) product *= chance;
      else sum += columns.times[i]! * Math.log(chance);
      // One logarithm for many records: a chance is never under 0.003, so the product holds out this long.
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
    for (let i = 0; i < columns.count; i++) sum += addRecordGradient(columns, i, p, frame, at, into);
    return sum;
  };

  return {
    size,
    frame,
    records,
    workloadPlace,
    likelihood,
    gradient,
    value: (at) => {
      let prior = 0;
      for (let i = 0; i < size; i++) prior -= at[i]! ** 2 / 2;
      return prior + likelihood(at);
    },
    logLimitAt: (record, at) => muOf(columns, record, parametersAt(at, frame), at),
    wrongChance: (record, at) => {
      const p = parametersAt(at, frame);
      const lambda = hazardOf(etaOf(columns, record, p, at));
      const wrong = columns.failed[record]! === 1 ? wrongCrash : wrongPass;
      return wrong / mixedChance(columns, record, lambda, p);
    },
  };
}

/** The parameters of one point, out of their coordinates. */
export type LimitParameters = Readonly<{
  logLimit: number;
  slope: number;
  halfBend: number;
  sigma: number;
  heat: number;
  stray: number;
}>;

export function parametersAt(at: Vector, frame: LimitFrame): LimitParameters {
  const of = (name: keyof typeof logPrior): number =>
    Math.exp(logPrior[name].mean + logPrior[name].sd * at[place[name]]!);
  const slope = of("slope");
  const heat = of("heat");
  return {
    logLimit: Math.log(frame.clockMhz) + frame.headroom.mean + frame.headroom.sd * at[place.headroom]!,
    slope,
    halfBend: (slope * of("bend")) / 2,
    sigma: of("sharpness"),
    heat,
    stray: of("stray"),
  };
}

type Columns = ReturnType<typeof columnsOf>;

function columnsOf(records: readonly LimitRecord[], frame: LimitFrame, workloadIds: readonly string[]) {
  const column = (of: (record: LimitRecord) => number): Float64Array => Float64Array.from(records, of);
  const workload = (record: LimitRecord): number => {
    const index = workloadIds.indexOf(record.workloadId);
    return index < 0 ? -1 : place.offsets + index;
  };
  const boardStart = place.offsets + workloadIds.length - 1;
  return {
    count: records.length,
    logVoltage: column(({ voltageMv }) => Math.log(voltageMv / frame.voltageMv)),
    logClock: column(({ clockMhz }) => Math.log(clockMhz)),
    warmth: column(({ steadyTempC }) => steadyTempC - referenceTempC),
    failed: column(({ failed }) => (failed ? 1 : 0)),
    hotFrom: column(({ hotFrom }) => hotFrom),
    hotMore: column(({ hotMore }) => hotMore),
    minutesFrom: column(({ minutesFrom }) => minutesFrom),
    minutesMore: column(({ minutesMore }) => minutesMore),
    times: column(({ count }) => count),
    workload: Int32Array.from(records, workload),
    board: Int32Array.from(records, ({ build }) => (build === 0 ? -1 : boardStart + build)),
  };
}

const etaOf = (columns: Columns, i: number, p: LimitParameters, at: Vector): number =>
  logHazardAtLimit + (columns.logClock[i]! - muOf(columns, i, p, at)) / p.sigma;

function muOf(columns: Columns, i: number, p: LimitParameters, at: Vector): number {
  const x = columns.logVoltage[i]!;
  let mu = p.logLimit + p.slope * x - p.halfBend * x * x - p.heat * columns.warmth[i]!;
  if (columns.workload[i]! >= 0) mu += workloadDeviation * at[columns.workload[i]!]!;
  if (columns.board[i]! >= 0) mu += boardDeviation * at[columns.board[i]!]!;
  return mu;
}

export const hazardOf = (eta: number): number =>
  eta < steepest ? Math.exp(eta) : Math.exp(steepest) * (1 + eta - steepest);

/** The chance of what one record tells, wrong records included. */
function mixedChance(columns: Columns, i: number, lambda: number, p: LimitParameters): number {
  const spent = lambda * columns.hotFrom[i]! + p.stray * columns.minutesFrom[i]!;
  const before = spent < 1e-3 ? 1 - spent + spent ** 2 / 2 : spent < 40 ? Math.exp(-spent) : 0;
  if (columns.failed[i]! === 0) return (1 - wrongShare) * before + wrongPass;
  if (before < 1e-12) return wrongCrash;
  const more = lambda * columns.hotMore[i]! + p.stray * columns.minutesMore[i]!;
  return (1 - wrongShare) * before * (more > 1e-4 ? 1 - Math.exp(-more) : more - more ** 2 / 2) + wrongCrash;
}

/** Adds the derivatives of one record's log chance and gives that log chance. */
function addRecordGradient(
  columns: Columns,
  i: number,
  p: LimitParameters,
  frame: LimitFrame,
  at: Vector,
  into: Float64Array,
): number {
  const eta = etaOf(columns, i, p, at);
  const lambda = hazardOf(eta);
  const { byLambda, byStray, logChance } = chanceSlopes(columns, i, lambda, p);
  const times = columns.times[i]!;
  const byEta = times * byLambda * Math.min(lambda, Math.exp(steepest));
  const byMu = -byEta / p.sigma;
  const x = columns.logVoltage[i]!;
  const bent = p.halfBend * x * x;
  into[place.headroom]! += byMu * frame.headroom.sd;
  into[place.slope]! += byMu * logPrior.slope.sd * (p.slope * x - bent);
  into[place.bend]! -= byMu * logPrior.bend.sd * bent;
  into[place.sharpness]! -= logPrior.sharpness.sd * byEta * (eta - logHazardAtLimit);
  into[place.heat]! -= logPrior.heat.sd * byMu * p.heat * columns.warmth[i]!;
  into[place.stray]! += times * byStray * logPrior.stray.sd * p.stray;
  if (columns.workload[i]! >= 0) into[columns.workload[i]!]! += byMu * workloadDeviation;
  if (columns.board[i]! >= 0) into[columns.board[i]!]! += byMu * boardDeviation;
  return times * logChance;
}

/** The log chance of a record and its derivatives by the two hazards. */
function chanceSlopes(
  columns: Columns,
  i: number,
  lambda: number,
  p: LimitParameters,
): Readonly<{
  byLambda: number;
  byStray: number;
  logChance: number;
}> {
  const hot = columns.hotFrom[i]!;
  const minutes = columns.minutesFrom[i]!;
  const before = (1 - wrongShare) * Math.exp(-(lambda * hot + p.stray * minutes));
  const isFailed = columns.failed[i]! === 1;
  const hotMore = columns.hotMore[i]!;
  const minutesMore = columns.minutesMore[i]!;
  const more = lambda * hotMore + p.stray * minutesMore;
  const survivedWithin = isFailed ? Math.exp(-more) : 0;
  const within = isFailed ? -Math.expm1(-more) : 1;
  const chance = before * within + (isFailed ? wrongCrash : wrongPass);
  return {
    byLambda: (before * (survivedWithin * hotMore - within * hot)) / chance,
    byStray: (before * (survivedWithin * minutesMore - within * minutes)) / chance,
    logChance: Math.log(chance),
  };
}
