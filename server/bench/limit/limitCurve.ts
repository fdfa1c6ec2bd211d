import { pointOf, resampled } from "../../numerics/particles.ts";
import { weightedQuantilesOf } from "../../numerics/weightedQuantiles.ts";
import { attemptsInWords } from "../heat/lawOfHeat.ts";
import { clockWords, type UnitOfClock, volts } from "../things/words.ts";
import { acceptableHazardPerMinute, targetOfUse } from "./acceptance.ts";
import { attemptBoundsOf } from "./attemptBounds.ts";
import { type DoubtfulRecord, doubtfulRecordsOf } from "./doubtfulRecords.ts";
import { type KnobStep, knobStepsOf } from "./knobSteps.ts";
import { type LimitRecord, loadedRows } from "./limitEvidence.ts";
import { type LimitContext, type LimitFit, limitFitOf, startInWords, type TooLittle } from "./limitFit.ts";
import { stockCrashNote } from "./limitFrame.ts";
import { parametersAt, workloadDeviation } from "./limitParameters.ts";
import { clocksAtHazard, type LimitDraws, limitDrawsOf, voltagesForClock } from "./limitReach.ts";
import { type ToldPrior, toldOfPrior } from "./sharpness.ts";

export type LimitQuestion = LimitContext &
  Readonly<{
    workloadId?: string | null;
    /** Asks for the voltage that holds this clock too. */
    targetMhz?: number | null;
    /** Whether the build has attempts at all, those by offset or on automatic voltage too. */
    isTried?: boolean;
  }>;

/** The clock that just meets the benchmark target: median, 5 % and 95 %. Without a crash only the low end is known. */
export type CurvePoint = Readonly<{
  voltageMv: number;
  limitMhz: number | null;
  lowMhz: number;
  highMhz: number | null;
}>;

export type VoltageForClock = Readonly<{
  clockMhz: number;
  /** Null where it lies beyond the voltages that may be tried. */
  mv: number | null;
  lowMv: number | null;
  highMv: number | null;
}>;

type WorkloadOffset = Readonly<{ workloadId: string; mhz: number; low: number; high: number }>;

export type FittedLimit = Readonly<{
  state: "fitted";
  curve: readonly CurvePoint[];
  coverage: 0.9;
  /** True where nothing has crashed: the record says how far it goes at least, and no more. */
  atLeast: boolean;
  /** Null where only one voltage was tried. */
  slopeMhzPer10Mv: number | null;
  offsets: readonly WorkloadOffset[];
  temperature: Readonly<{ roomC: number; measured: number; expected: number; because: string }>;
  voltageFor: VoltageForClock | null;
  doubtful: readonly DoubtfulRecord[];
  /** Stray crashes per loaded hour that no setting explains: median and 90 % interval. */
  strayPerHour: Readonly<{ mid: number; low: number; high: number }>;
  /** Corrected errors of core and cache that speak too, and in how many attempts they were counted; null where none do. */
  errors: CountedErrors | null;
  /** Attempts on automatic voltage that were placed by what was read under load; null where none was. */
  automatic: PlacedByReading | null;
  /** What one step of each knob that was tried at more than one value would buy. */
  knobs: readonly ClockPerKnob[];
  workloadId: string | null;
  attempts: number;
  /** Names of other builds of the chip that were counted as a start. */
  taughtBy: readonly string[];
  /** What was believed of how sharp the limit is before any attempt, and from how many chips of the journal. */
  sharpness: ToldPrior;
  method: LimitFit["method"];
  effectiveDraws: number;
  notes: readonly string[];
  sentence: string;
}>;

/** How many were placed, and within how many mV each lies at least nine times in ten. */
type PlacedByReading = Readonly<{ attempts: number; withinMv: number }>;

type CountedErrors = Readonly<{ counted: number; attempts: number }>;

/** What one step of a knob would buy: 95 % interval in MHz. */
type ClockPerKnob = Omit<KnobStep, "gain"> & Readonly<{ gainMhz: number }>;

export type LimitAnswer = FittedLimit | TooLittle;

export function limitAnswerOf(question: LimitQuestion): LimitAnswer {
  const rows = loadedRows(question.rows, question.workloads);
  const fit = limitFitOf(question);
  const own = fit?.records.filter(({ build }) => build === 0) ?? [];
  const lacking = lackingFor(attemptsIn(own, false), attemptsIn(own, true), question);
  if (fit === null || lacking !== null) return lacking ?? nothingSaid(question);
  const workloadId = question.workloadId ?? fit.heaviestId;
  const few = limitDrawsOf(fit, resampled(fit.draws, bandDraws, 0.5), workloadId);
  const atLeast = own.every(({ failed }) => !failed);
  const errors = countedErrorsOf(fit.records);
  const automatic = placedByReadingIn(own);
  const curve = curveVoltages(
    question,
    rows.map(({ voltageMv }) => voltageMv),
  ).map((voltageMv) => curvePoint(few, voltageMv, atLeast));
  return {
    state: "fitted",
    curve,
    coverage: 0.9,
    atLeast,
    slopeMhzPer10Mv: atLeast
      ? null
      : slopeOf(
          few,
          rows.map(({ voltageMv }) => voltageMv),
        ),
    offsets: fit.lighterIds.map((id) => offsetOf(fit, id)),
    temperature: temperatureOf(fit),
    voltageFor:
      question.targetMhz == null ? null : voltageForClock(question, few, question.targetMhz, atLeast),
    doubtful: doubtfulRecordsOf(fit, question.chip.clockUnit),
    strayPerHour: strayOf(few),
    errors,
    automatic,
    knobs: clockPerKnob(question, fit, workloadId),
    workloadId,
    attempts: rows.length,
    taughtBy: fit.taughtBy,
    sharpness: toldOfPrior(fit.sharpness),
    method: fit.method,
    effectiveDraws: Math.round(fit.draws.effectiveCount),
    notes: [...fit.frame.notes, stockCrashNote(fit.frame, rows) ?? []].flat(),
    sentence: `${sentenceOf(rows.length, atLeast, fit.taughtBy, question.knobs?.elsewhere.length ?? 0)}${errorsInWords(errors)}${automaticInWords(automatic)}`,
  };
}

const attemptsIn = (records: readonly LimitRecord[], failed: boolean): number =>
  records.reduce((sum, record) => (record.failed === failed ? sum + record.count : sum), 0);

/** Fewer draws do for a band. */
const bandDraws = 1000;
const benchmarkHazard = acceptableHazardPerMinute(targetOfUse.benchmark);

const passAndCrash = "Record a pass and a crash at one voltage.";

/** Why nothing in the record speaks of a clock's limit. */
function nothingSaid({ chip, rows, isTried = rows.length > 0 }: LimitQuestion): TooLittle {
  const state = "too-little";
  if (chip.axis === "offset")
    return {
      state,
      because: "This chip is set by an offset, so its limit is an offset too, not a clock at a voltage.",
      needs: "Ask for the best setting or the frontier: both tell it as an offset.",
    };
  return isTried
    ? { state, because: "No attempt so far says anything about the limit.", needs: passAndCrash }
    : { state, because: "There is no attempt yet.", needs: passAndCrash };
}

/** A curve needs three attempts of which one held; with passes alone it still says "at least". */
function lackingFor(survived: number, failed: number, question: LimitQuestion): TooLittle | null {
  if (survived + failed === 0) return nothingSaid(question);
  if (survived === 0)
    return {
      state: "too-little",
      because: `Nothing has survived yet: ${attemptsInWords(failed)}, all crashed.`,
      needs: "Record a pass at a lower clock or a higher voltage.",
    };
  const [known, wanting] = [survived + failed, 3 - survived - failed];
  if (wanting > 0)
    return {
      state: "too-little",
      because: `Only ${attemptsInWords(known)} so far ${known === 1 ? "says" : "say"} something about the limit.`,
      needs: `Record ${attemptsInWords(wanting)} more, ${wanting === 1 ? "" : "some of them "}further up.`,
    };
  return null;
}

const curveStepMv = 12.5;
const mostPoints = 200;

/** Every 12.5 mV from the lowest voltage tried to the highest allowed. */
function curveVoltages(question: LimitQuestion, tried: readonly number[]): number[] {
  const lowest = tried.reduce((least, mv) => Math.min(least, mv), Infinity);
  const highestTried = tried.reduce((most, mv) => Math.max(most, mv), -Infinity);
  const highest = Math.max(question.chip.voltageCeilingMv ?? highestTried, highestTried);
  const step = Math.max(curveStepMv, Math.ceil((highest - lowest) / mostPoints / curveStepMv) * curveStepMv);
  const voltages: number[] = [];
  for (let mv = lowest; mv < highest - 1e-6; mv += step) voltages.push(Math.round(mv * 1000) / 1000);
  return [...voltages, highest];
}

function curvePoint(draws: LimitDraws, voltageMv: number, atLeast: boolean): CurvePoint {
  const clocks = clocksAtHazard(draws, voltageMv, benchmarkHazard);
  const [low, mid, high] = quantilesOf(clocks, draws);
  return { voltageMv, limitMhz: atLeast ? null : mid, lowMhz: low, highMhz: atLeast ? null : high };
}

const quantilesOf = (values: Float64Array, { weights }: LimitDraws): [number, number, number] =>
  weightedQuantilesOf(values, weights, [0.05, 0.5, 0.95]) as [number, number, number];

/** In the middle of what was tried. */
function slopeOf(draws: LimitDraws, tried: readonly number[]): number | null {
  const distinct = [...new Set(tried)].sort((a, b) => a - b);
  if (distinct.length < 2) return null;
  const middle = (distinct[0]! + distinct[distinct.length - 1]!) / 2;
  const below = clocksAtHazard(draws, middle - 5, benchmarkHazard);
  const above = clocksAtHazard(draws, middle + 5, benchmarkHazard);
  return quantilesOf(
    above.map((clock, k) => clock - below[k]!),
    draws,
  )[1];
}

/** How much further up a lighter workload goes than the heaviest. */
function offsetOf(fit: LimitFit, workloadId: string): WorkloadOffset {
  const index = fit.model.workloadPlace(workloadId)!;
  const shifts = Float64Array.from({ length: fit.draws.count }, (_, k) => {
    const at = pointOf(fit.draws, k);
    return Math.exp(parametersAt(at, fit.frame).logLimit) * Math.expm1(workloadDeviation * at[index]!);
  });
  const [low, mhz, high] = weightedQuantilesOf(shifts, fit.draws.weights, [0.05, 0.5, 0.95]) as [
    number,
    number,
    number,
  ];
  return { workloadId, mhz, low, high };
}

/** Over the voltages that may be tried; an end outside them is not known. */
function voltageForClock(
  question: LimitQuestion,
  draws: LimitDraws,
  clockMhz: number,
  atLeast: boolean,
): VoltageForClock {
  const { highestMv } = attemptBoundsOf(question.chip, loadedRows(question.rows, question.workloads));
  const ceiling = Math.max(question.chip.voltageCeilingMv ?? 0, highestMv ?? 0, draws.fit.frame.voltageMv);
  const range = { lowMv: 0.5 * Math.min(ceiling, draws.fit.frame.voltageMv), highMv: 1.15 * ceiling };
  const needed = voltagesForClock(draws, clockMhz, benchmarkHazard, range).map((mv) => Math.min(mv, 1e9));
  const [low, mid, high] = quantilesOf(needed, draws);
  const known = (mv: number): number | null => (mv <= ceiling ? mv : null);
  return {
    clockMhz,
    mv: atLeast ? null : known(mid),
    lowMv: atLeast ? null : known(low),
    highMv: known(high),
  };
}

function temperatureOf({ heat }: LimitFit): FittedLimit["temperature"] {
  const from =
    heat.law === null
      ? "no load temperature was recorded, so a usual rise of 45 °C is assumed"
      : `load temperatures measured in ${attemptsInWords(heat.measured)}, expected by the law of heat in ${heat.expected}`;
  return {
    roomC: heat.roomC,
    measured: heat.measured,
    expected: heat.expected,
    because: `At the temperature expected in a room of ${heat.roomC.toFixed(0)} °C; ${from}.`,
  };
}

/** At the voltage of the latest attempt. */
function clockPerKnob(question: LimitQuestion, fit: LimitFit, workloadId: string | null): ClockPerKnob[] {
  const latest = question.rows.at(-1);
  const voltageMv = latest?.voltageMv ?? fit.frame.voltageMv;
  return knobStepsOf(fit, {
    knobs: question.chip.knobs,
    asSet: latest?.knobs ?? null,
    limits: (draws) => clocksAtHazard(limitDrawsOf(fit, draws, workloadId), voltageMv, benchmarkHazard),
  }).map(({ gain, ...step }) => ({ ...step, gainMhz: gain }));
}

function strayOf(draws: LimitDraws): FittedLimit["strayPerHour"] {
  const [low, mid, high] = quantilesOf(
    draws.stray.map((perMinute) => 60 * perMinute),
    draws,
  );
  return { mid, low, high };
}

function sentenceOf(
  attempts: number,
  atLeast: boolean,
  others: readonly string[],
  elsewhere: number,
): string {
  const knobs =
    elsewhere === 0 ? "" : ` ${attemptsInWords(elsewhere)} with other knobs told how far those reach.`;
  const start = `${startInWords(others)}${knobs}`;
  return atLeast
    ? `Fitted to ${attemptsInWords(attempts)}, none of which crashed: the limit lies at least this high, how much higher is not known.${start}`
    : `Fitted to ${attemptsInWords(attempts)}; nine times in ten the clock that survives nine in ten one-hour runs lies within the band.${start}`;
}

function countedErrorsOf(records: readonly LimitRecord[]): CountedErrors | null {
  const counting = records.filter(({ errors }) => errors !== null);
  if (counting.length === 0) return null;
  return {
    counted: Math.round(counting.reduce((sum, { errors, count }) => sum + errors! * count, 0)),
    attempts: counting.reduce((sum, { count }) => sum + count, 0),
  };
}

const errorsInWords = (errors: CountedErrors | null): string =>
  errors === null
    ? ""
    : ` Corrected errors speak too, as far as they rise with the clock: ${errors.counted} in ${attemptsInWords(errors.attempts)}.`;

function placedByReadingIn(records: readonly LimitRecord[]): PlacedByReading | null {
  const deviations = records.flatMap(({ placing }) =>
    placing === null ? [] : [Math.hypot(placing.readDeviationMv, placing.droopDeviationMv)],
  );
  if (deviations.length === 0) return null;
  return { attempts: deviations.length, withinMv: Math.round(16.45 * Math.max(...deviations)) / 10 };
}

const automaticInWords = (automatic: PlacedByReading | null): string =>
  automatic === null
    ? ""
    : ` ${attemptsInWords(automatic.attempts)} on automatic voltage ${automatic.attempts === 1 ? "was" : "were"} placed by what was read under load, to within ${Math.ceil(automatic.withinMv)} mV nine times in ten.`;

const volt = (mv: number): string => volts(Math.round(mv));

/** What holding a clock takes, for a page. Without a crash only enough is known, not the least. */
export function voltageForInWords(
  { clockMhz, mv, lowMv, highMv }: VoltageForClock,
  unit: UnitOfClock,
): string {
  const clock = clockWords(clockMhz, unit);
  const runs = "in nine of ten one-hour runs";
  if (mv !== null && lowMv !== null && highMv !== null)
    return `${clock} holds ${runs} from ${volt(mv)} on; nine times in ten that lies between ${volt(lowMv)} and ${volt(highMv)}.`;
  if (mv !== null && lowMv !== null)
    return `${clock} holds ${runs} from about ${volt(mv)} on, surely not below ${volt(lowMv)}; it may take more than may be tried.`;
  if (lowMv !== null)
    return `${clock} likely takes more than may be tried: ${volt(lowMv)} at the very least.`;
  return highMv === null
    ? `Whether ${clock} can be held within the voltages that may be tried is not known.`
    : `${volt(highMv)} is enough for ${clock}; nothing has crashed yet, so less may do.`;
}
