import { studentQuantile } from "../../numerics/distributions.ts";
import {
  type PriorRegression,
  priorRegressionOf,
  type WeightedPoint,
} from "../../numerics/priorRegression.ts";
import type { Chip } from "../things/chip.ts";
import type { EvidenceRow } from "../things/evidenceRow.ts";
import { neverStarted } from "../things/outcome.ts";
import { rowsMemory } from "../things/rowsMemory.ts";
import type { Workload } from "../things/workload.ts";
import { type HeatShape, heatShapeOf, levelledRise } from "./heatShape.ts";
import { idleShareOfRise, shareToCome } from "./warmUp.ts";

export type HeatLawQuestion = Readonly<{
  chip: Chip;
  clockMhz: number;
  voltageMv: number;
  workloadId: string | null;
  /** The room; null stands for the median of the rooms recorded. */
  ambientC: number | null;
  mountId?: string | null | undefined;
  /** Where given, attempts under an idle workload speak only of that workload. */
  workloads?: readonly Workload[];
}>;

/** A 90 % interval for what one more run would read once levelled, drawn from `from` attempts. */
export type HeatForecast = Readonly<{
  mid: number;
  low: number;
  high: number;
  from: number;
  because: string;
}>;
export type HeatUnknown = Readonly<{ unknown: string }>;

export type HeatSetting = Readonly<{
  clockMhz: number;
  voltageMv: number;
  workloadId: string | null;
  ambientC: number | null;
  /** The mount it is to run on; the latest recorded where none is named, and a wider spread where it has no record yet. */
  mountId?: string | null | undefined;
}>;

/** The one law of heat of a build, fitted once and asked often. */
export type LawOfHeat = Readonly<{
  /** The median room of the attempts; null where no attempt recorded one. */
  medianRoomC: number | null;
  from: number;
  forecast: (setting: HeatSetting) => HeatForecast;
  /** The middle of the rise above the room, in °C. */
  riseC: (clockMhz: number, voltageMv: number, workloadId: string | null) => number;
  /** By how much a run's rise may differ from it, one standard deviation in °C, the reading left out. */
  riseDeviationC: (clockMhz: number, voltageMv: number, workloadId: string | null) => number;
}>;

/** Where no attempt recorded the room, this stands in for it (common practice). */
export const assumedRoomC = 22;

/** Load temperature at a setting with a 90 % interval, or why it cannot be said. */
export function loadTempForecast(
  rows: readonly EvidenceRow[],
  question: HeatLawQuestion,
): HeatForecast | HeatUnknown {
  const idle = new Set(question.workloads?.filter(({ kind }) => kind === "idle").map(({ id }) => id));
  const asksIdle = question.workloadId !== null && idle.has(question.workloadId);
  const spoken = rows.filter(({ workloadId }) =>
    asksIdle ? workloadId === question.workloadId : !idle.has(workloadId),
  );
  const law = lawOfHeatOf(spoken);
  return "unknown" in law ? law : law.forecast(question);
}

/**
 * Rise above the room = b V^2.2 f per workload, b from the build's own attempts; resistance times (what switches with
 * V^2 f + what leaks, more with voltage and heat) once power has been read at two voltages or more.
 * Both exponents may stray, so the spread grows away from what was tried. Idle workloads are for the caller to leave out.
 */
export const lawOfHeatOf = (rows: readonly EvidenceRow[]): LawOfHeat | HeatUnknown =>
  remembered(rows, null, () => lawOf(rows));

const remembered = rowsMemory<LawOfHeat | HeatUnknown>();

function lawOf(rows: readonly EvidenceRow[]): LawOfHeat | HeatUnknown {
  const medianRoomC = medianOf(rows.flatMap(({ ambientC }) => ambientC ?? []));
  const records = rows.flatMap((row) => heatRecordOf(row, medianRoomC) ?? []);
  if (records.length === 0) return { unknown: unknownBecause(rows) };
  const warm = records.filter(({ riseC }) => riseC > 2);
  return 2 * warm.length > records.length ? warmLaw(warm, rows, medianRoomC) : coldLaw(records, medianRoomC);
}

const unknownBecause = (rows: readonly EvidenceRow[]): string =>
  rows.some(({ loadTempC, peakTempC }) => loadTempC !== null || peakTempC !== null)
    ? "No attempt with a temperature has run at a known clock long enough to warm up; half a minute is the least."
    : "No attempt of this build has recorded a load temperature yet.";

type HeatRecord = Readonly<{
  clockMhz: number;
  voltageMv: number;
  workloadId: string;
  mountId: string;
  startedAt: string;
  loadTempC: number;
  /** Carried to what it would be once levelled. */
  riseC: number;
  /** The share of the rise that was still to come. */
  stillCold: number;
  deviationC: number;
}>;

/** Coolers warm up faster or slower than usual: what is still to come is known to a third or so. */
const strayOfPace = 0.35;

/** The levelled rise an attempt speaks of: at the clock it truly ran at, at least half a minute under load. */
function heatRecordOf(row: EvidenceRow, medianRoomC: number | null): HeatRecord | undefined {
  const loadTempC = row.loadTempC ?? row.peakTempC;
  const clockMhz = heatClockOf(row);
  if (loadTempC === null || clockMhz === null || neverStarted(row.outcome) || row.durationS < 30)
    return undefined;
  const roomC = row.ambientC ?? medianRoomC ?? assumedRoomC;
  const stillCold = (1 - idleShareOfRise) * shareToCome(row.durationS / 60);
  const riseC = (loadTempC - roomC) / (1 - stillCold);
  const roomDeviationC = row.ambientC !== null ? 0.5 : medianRoomC !== null ? 2 : 3;
  const deviationC = Math.hypot(1, roomDeviationC, strayOfPace * stillCold * Math.abs(riseC));
  const { voltageMv, workloadId, mountId, startedAt } = row;
  return { clockMhz, voltageMv, workloadId, mountId, startedAt, loadTempC, riseC, stillCold, deviationC };
}

/**
 * The load temperature an attempt would have levelled out at, and how surely its reading says so; null under two
 * minutes, where it says too little.
 */
export function levelledLoad(
  row: EvidenceRow,
  medianRoomC: number | null,
): Readonly<{ tempC: number; deviationC: number }> | null {
  const record = row.durationS < 120 ? undefined : heatRecordOf(row, medianRoomC);
  if (record === undefined) return null;
  const { riseC, stillCold } = record;
  return {
    tempC: riseC + (row.ambientC ?? medianRoomC ?? assumedRoomC),
    deviationC: Math.hypot(1, strayOfPace * stillCold * riseC),
  };
}

/** A throttled or boosting attempt heats at its effective clock; not known, it says nothing. */
function heatClockOf(row: EvidenceRow): number | null {
  if (row.effectiveClockMhz !== null) return row.effectiveClockMhz;
  return row.throttled === true || row.clockMode === "boost" ? null : row.clockMhz;
}

/** Workloads differ by about a quarter in heat, mounts by about 4 % (common practice: 1 to 3 °C). */
const workloadDeviation = 0.25;
const mountDeviation = 0.04;
/** Leakage grows faster the higher the voltage: without power read, by so much of the exponent more doubt above what was tried. */
const unreadLeakStray = 0.3;
/** Two runs of one setting on one mount differ by about 1.5 % of the rise besides the sensor (common practice). */
const runDeviation = 0.015;

function warmLaw(
  records: readonly HeatRecord[],
  rows: readonly EvidenceRow[],
  medianRoomC: number | null,
): LawOfHeat {
  const meanClock = meanOf(records.map(({ clockMhz }) => Math.log(clockMhz)));
  const meanVoltage = meanOf(records.map(({ voltageMv }) => Math.log(voltageMv)));
  const roomC = medianRoomC ?? assumedRoomC;
  const around = {
    clockMhz: Math.exp(meanClock),
    voltageMv: Math.exp(meanVoltage),
    riseC: meanOf(records.map(({ riseC }) => riseC)),
  };
  const shape = heatShapeOf(rows, around, roomC);
  const { stray } = shape;
  const workloadIds = [...new Set(records.map(({ workloadId }) => workloadId))];
  const mountIds = mountsByLatest(records).slice(0, 12);
  const columnsAt = (
    clockMhz: number,
    voltageMv: number,
    workloadId: string | null,
    mountId: string | undefined,
  ) => [
    1,
    Math.log(voltageMv) - meanVoltage,
    Math.log(clockMhz) - meanClock,
    ...workloadIds.map((id) => (id === workloadId ? 1 : 0)),
    ...mountIds.map((id) => (id === mountId ? 1 : 0)),
  ];
  const points = records.map(
    (record): WeightedPoint => ({
      x: columnsAt(record.clockMhz, record.voltageMv, record.workloadId, record.mountId),
      y: Math.log(record.riseC / shape.heatAt(record.clockMhz, record.voltageMv, roomC + record.riseC)),
      variance: runDeviation ** 2 + (record.deviationC / Math.max(record.riseC, 2)) ** 2,
    }),
  );
  const sd = [
    3,
    stray.voltage,
    stray.clock,
    ...workloadIds.map(() => workloadDeviation),
    ...mountIds.map(() => mountDeviation),
  ];
  const start = meanOf(points.map(({ y }) => y));
  const fit = priorRegressionOf(points, {
    mean: sd.map((_, i) => (i === 0 ? start : 0)),
    sd,
    noiseFreedom: 8,
  });
  if (fit === undefined) return coldLaw(records, medianRoomC);
  const isNew = (workloadId: string | null): boolean =>
    workloadId === null || !workloadIds.includes(workloadId);
  const columns = (clockMhz: number, voltageMv: number, workloadId: string | null): number[] =>
    columnsAt(clockMhz, voltageMv, workloadId, mountIds[0]);
  const riseC = (clockMhz: number, voltageMv: number, workloadId: string | null): number => {
    const x = columns(clockMhz, voltageMv, workloadId);
    let logPerWatt = 0;
    for (let i = 0; i < x.length; i++) logPerWatt += x[i]! * fit.coefficients[i]!;
    const perWatt = Math.exp(Math.min(logPerWatt, 20));
    return levelledRise(shape.heatAt, perWatt, clockMhz, voltageMv, roomC, around.riseC);
  };
  const riseDeviationC = (clockMhz: number, voltageMv: number, workloadId: string | null): number => {
    const own = runDeviation ** 2 + (isNew(workloadId) ? workloadDeviation ** 2 : 0);
    const { scale } = fit.prediction(columns(clockMhz, voltageMv, workloadId), own);
    return scale * riseC(clockMhz, voltageMv, workloadId);
  };
  const highestMv = records.reduce((most, record) => Math.max(most, record.voltageMv), 0);
  const beyond = (voltageMv: number): number => Math.max(0, Math.log(voltageMv / highestMv));
  const forecast = (setting: HeatSetting): HeatForecast => {
    const { clockMhz, voltageMv, workloadId } = setting;
    const roomC = setting.ambientC ?? medianRoomC ?? assumedRoomC;
    const mid = riseC(clockMhz, voltageMv, workloadId);
    const isNewWorkload = isNew(workloadId);
    const isNewMount = setting.mountId != null && !mountIds.includes(setting.mountId);
    const own =
      runDeviation ** 2 +
      (1 / mid) ** 2 +
      (isNewWorkload ? workloadDeviation ** 2 : 0) +
      (isNewMount ? 2 * mountDeviation ** 2 : 0) +
      (shape.voltages === 0 ? (unreadLeakStray * beyond(voltageMv)) ** 2 : 0);
    const spread = logHalfWidth(fit, columns(clockMhz, voltageMv, workloadId), own);
    return {
      mid: roomC + mid,
      low: roomC + mid * Math.exp(-spread),
      high: roomC + mid * Math.exp(spread),
      from: records.length,
      because: becauseOf(records.length, shape, isNewWorkload, medianRoomC, setting.ambientC),
    };
  };
  return { medianRoomC, from: records.length, forecast, riseC, riseDeviationC };
}

const logHalfWidth = (fit: PriorRegression, x: readonly number[], variance: number): number => {
  const { scale, degreesOfFreedom } = fit.prediction(x, variance);
  return Math.min(2, scale * studentQuantile(0.95, degreesOfFreedom)!);
};

const absoluteZeroC = -273.15;

/** Over what cools it a loaded chip still rises, by some twenty degrees with water or a cold plate (common practice). */
const riseOverCoolantC = 20;

/**
 * A chip cooled to the room or below it follows no law of rise: what was read stands, with its scatter, and the less surely
 * the further the power asked for lies from what was tried.
 */
function coldLaw(records: readonly HeatRecord[], medianRoomC: number | null): LawOfHeat {
  const temperatures = records.map(({ loadTempC }) => loadTempC);
  const mid = meanOf(temperatures);
  const squares = temperatures.reduce((sum, value) => sum + (value - mid) ** 2, 0);
  const freedom = temperatures.length + 1;
  const deviationC = Math.sqrt((squares + 2 * 5 ** 2) / freedom);
  const logPowerOf = ({ clockMhz, voltageMv }: Pick<HeatSetting, "clockMhz" | "voltageMv">): number =>
    2.2 * Math.log(voltageMv) + Math.log(clockMhz);
  const tried = meanOf(records.map(logPowerOf));
  const deviationAt = (setting: Pick<HeatSetting, "clockMhz" | "voltageMv">): number =>
    Math.hypot(deviationC, riseOverCoolantC * (logPowerOf(setting) - tried));
  const halfAt = (setting: HeatSetting): number =>
    deviationAt(setting) * Math.sqrt(1 + 1 / temperatures.length) * studentQuantile(0.95, freedom)!;
  const because = `From ${attemptsInWords(records.length)} near or below room temperature, where the room says little.`;
  const roomC = medianRoomC ?? assumedRoomC;
  return {
    medianRoomC,
    from: records.length,
    forecast: (setting) => {
      const half = halfAt(setting);
      return {
        ...{ mid, low: Math.max(absoluteZeroC, mid - half), high: mid + half },
        ...{ from: records.length, because },
      };
    },
    riseC: () => mid - roomC,
    riseDeviationC: (clockMhz, voltageMv) => deviationAt({ clockMhz, voltageMv }),
  };
}

function becauseOf(
  count: number,
  { voltages }: HeatShape,
  isNewWorkload: boolean,
  medianRoomC: number | null,
  askedRoomC: number | null,
): string {
  const parts = [
    voltages === 0
      ? `From ${attemptsInWords(count)} of this build with a load temperature`
      : `From ${attemptsInWords(count)} of this build and the power read at ${voltages} voltages`,
  ];
  if (isNewWorkload) parts.push("this load has not been run yet, so the spread is wide");
  if (medianRoomC === null) parts.push(`no room temperature was recorded, ${assumedRoomC} °C is assumed`);
  else if (askedRoomC === null) parts.push(`for the usual room of ${medianRoomC.toFixed(0)} °C`);
  return `${parts.join("; ")}.`;
}

export const attemptsInWords = (count: number): string => (count === 1 ? "one attempt" : `${count} attempts`);

function mountsByLatest(records: readonly HeatRecord[]): string[] {
  const latest = new Map<string, string>();
  for (const { mountId, startedAt } of records)
    if ((latest.get(mountId) ?? "") < startedAt) latest.set(mountId, startedAt);
  return [...latest].sort(([, a], [, b]) => (a < b ? 1 : -1)).map(([mountId]) => mountId);
}

const meanOf = (values: readonly number[]): number =>
  values.reduce((sum, value) => sum + value, 0) / values.length;

export function medianOf(values: readonly number[]): number | null {
  if (values.length === 0) return null;
  const sorted = [...values].sort((a, b) => a - b);
  const middle = sorted.length >> 1;
  return sorted.length % 2 === 1 ? sorted[middle]! : (sorted[middle - 1]! + sorted[middle]!) / 2;
}
