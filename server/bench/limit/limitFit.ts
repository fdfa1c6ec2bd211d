import { LRUCache } from "lru-cache";
import type { Vector } from "../../numerics/cholesky.ts";
import { importanceDraws, type SamplingPlan } from "../../numerics/importanceSampling.ts";
import type { LogDensity } from "../../numerics/logDensity.ts";
import { type Mode, modeOf, modesOf } from "../../numerics/mode.ts";
import type { Particles } from "../../numerics/particles.ts";
import { seededRandom } from "../../numerics/seededRandom.ts";
import { temperedDraws } from "../../numerics/temperedParticles.ts";
import type { KnobColumn, KnobShifts } from "../order/knobShifts.ts";
import type { Chip } from "../things/chip.ts";
import type { EvidenceRow } from "../things/evidenceRow.ts";
import { heaviestOf } from "../things/heaviestWorkload.ts";
import type { PlacedAttempt } from "../things/placedAttempt.ts";
import type { Workload } from "../things/workload.ts";
import { errorsSpeak } from "./errorRate.ts";
import { tellsTurn } from "./heatTurn.ts";
import {
  type BuildHeat,
  buildHeatOf,
  type LimitRecord,
  limitRecordsOf,
  loadedRows,
  type OtherBuild,
  teachingBuilds,
} from "./limitEvidence.ts";
import { type LimitFrame, limitFrameOf } from "./limitFrame.ts";
import { type LimitModel, limitModelOf } from "./limitModel.ts";
import { place } from "./limitParameters.ts";
import { placingsOf } from "./placing.ts";
import { baseSharpness, type SharpnessPrior } from "./sharpness.ts";

/** Everything the fit looks at. Plain values, so that it can be handed to a worker. */
export type LimitContext = Readonly<{
  chip: Chip;
  hottestAmbientC: number;
  rows: readonly EvidenceRow[];
  workloads: readonly Workload[];
  /** Other builds of the same chip that teach this one; their limit may lie elsewhere by a percent or so. */
  otherBuilds?: readonly OtherBuild[];
  /** How attempts with other knobs than now teach the limit; those that speak without are among the rows. */
  knobs?: KnobShifts<EvidenceRow> | null;
  /** Attempts on automatic voltage that were placed by their readings; they are not among the rows. */
  placed?: readonly PlacedAttempt[];
  /** What is believed of how sharp the limit is; what such chips usually do where nothing is said. */
  sharpness?: SharpnessPrior;
  /** False leaves out the corrected errors that attempts counted: where builds are compared and other chips teach, nobody measured what they do. */
  errors?: boolean;
  /** How far apart the limits of the builds may lie, as a share of clock; as far as boards usually do where nothing is said. */
  boardDeviation?: number;
  seed?: number;
}>;

/** Named where the record does not carry a fit yet. */
export type TooLittle = Readonly<{ state: "too-little"; because: string; needs: string }>;

/** What the fit is built on: the records, the point they are measured from, and the heat. */
export type LimitGrounds = Readonly<{
  frame: LimitFrame;
  heat: BuildHeat;
  records: readonly LimitRecord[];
  heaviestId: string | null;
  lighterIds: readonly string[];
  /** What was believed of the sharpness before any attempt. */
  sharpness: SharpnessPrior;
  /** How many other builds teach this one, and which: those with most attempts first. */
  boards: number;
  taughtBy: readonly string[];
  /** The ways in which knobs stood elsewhere. */
  knobs: readonly KnobColumn[];
}>;

export type LimitFit = LimitGrounds &
  Readonly<{ model: LimitModel; draws: Particles; method: "importance" | "tempered" }>;

/** Without a failure on record the upper end of a limit is not known, however narrow it looks. */
export const hasFailed = ({ records }: LimitGrounds): boolean => records.some(({ failed }) => failed);

const mostWorkloads = 8;

/** The last few fits: a page asks for the limit, the next attempt and the best setting of one record in turn. */
const lastFits = new LRUCache<string, Readonly<{ fit: LimitFit | null }>>({ max: 3 });

/** The posterior of a build's limit; null where there is nothing to start from. */
export function limitFitOf(context: LimitContext): LimitFit | null {
  const { chip, hottestAmbientC, rows, workloads, otherBuilds, sharpness = baseSharpness, seed } = context;
  const key = JSON.stringify([
    chip,
    hottestAmbientC,
    rows,
    workloads,
    otherBuilds ?? [],
    context.knobs ?? null,
    context.placed ?? [],
    sharpness.version,
    context.errors ?? true,
    seed ?? 1,
  ]);
  const known = lastFits.get(key);
  if (known !== undefined) return known.fit;
  const grounds = limitGroundsOf(context);
  const fit = grounds === null ? null : fitOf(grounds, seed ?? 1);
  lastFits.set(key, { fit });
  return fit;
}

/** Of each other build the newest count: every one that was placed by a reading is looked at seven times over. */
const mostPlacedElsewhere = 30;

/** Null where there are neither stock values nor attempts. */
export function limitGroundsOf(context: LimitContext): LimitGrounds | null {
  const rows = loadedRows(context.rows, context.workloads);
  const others = teachingBuilds(context.otherBuilds ?? [], context.workloads).map((other) => ({
    name: other.name,
    rows: loadedRows(other.rows, context.workloads),
    placed: (other.placed ?? []).slice(-mostPlacedElsewhere),
  }));
  const taught = rows.length > 0 ? rows : others.flatMap((other) => other.rows);
  const frame = limitFrameOf(context.chip, taught, context.sharpness, context.boardDeviation);
  if (frame === null) return null;
  const elsewhere = loadedRows(context.knobs?.elsewhere ?? [], context.workloads);
  // What ran with other knobs was as warm as it was read: a knob turned back does not forget the cooler.
  const heat = buildHeatOf(rows.length > 0 ? [...rows, ...elsewhere] : taught, frame);
  const all = [rows, elsewhere, ...others.map((other) => other.rows)].flat();
  const errors = (context.errors ?? true) && errorsSpeak(context.chip, all);
  const own = { shifts: context.knobs?.of, errors };
  const heats = [heat, ...others.map((other) => buildHeatOf(other.rows, frame))];
  const records = [
    ...limitRecordsOf(rows, heat, 0, own),
    ...limitRecordsOf(elsewhere, heat, 0, own),
    ...others.flatMap((other, i) => limitRecordsOf(other.rows, heats[i + 1]!, i + 1, { errors })),
  ];
  const placed = [context.placed ?? [], ...others.map((other) => other.placed)];
  const placings = placingsOf(placed);
  const byReading = placed.flatMap((ofBuild, build) => {
    const read = loadedRows(
      ofBuild.map(({ row }) => row),
      context.workloads,
    );
    return limitRecordsOf(read, heats[build]!, build, { placings });
  });
  const heaviestId = heaviestOf(context.workloads, new Set(taught.map(({ workloadId }) => workloadId)));
  const heatTurns = tellsTurn(records, frame.voltageMv);
  return {
    frame: { ...frame, heatTurns },
    heat,
    records: [...records, ...byReading],
    heaviestId,
    lighterIds: lighterIn(records, heaviestId),
    sharpness: context.sharpness ?? baseSharpness,
    boards: others.length,
    taughtBy: others.map(({ name }) => name),
    knobs: context.knobs?.columns ?? [],
  };
}

/** The workloads that have attempts, besides the heaviest, those with most attempts first. */
function lighterIn(records: readonly LimitRecord[], heaviestId: string | null): string[] {
  const counts = new Map<string, number>();
  for (const { workloadId, count } of records)
    if (workloadId !== heaviestId) counts.set(workloadId, (counts.get(workloadId) ?? 0) + count);
  return [...counts]
    .sort(([a, many], [b, more]) => more - many || (a < b ? -1 : 1))
    .slice(0, mostWorkloads)
    .map(([id]) => id);
}

export const modelOf = ({ records, frame, lighterIds, boards, knobs }: LimitGrounds): LimitModel =>
  limitModelOf(records, frame, lighterIds, boards, knobs);

/** Fewer effective draws than this are not trusted, and the slower, sturdier sampler takes over. */
const leastEffective = 300;
const samplingPlan: SamplingPlan = { draws: 500, wanted: 350, rounds: 10 };
const temperingPlan = { particles: 800, moves: 4, lastMoves: 8 };
/** A mode that is e^7 times less likely than the best is not worth draws. */
const negligible = 7;

export function fitOf(grounds: LimitGrounds, seed: number, plan: SamplingPlan = samplingPlan): LimitFit {
  const model = modelOf(grounds);
  const random = seededRandom(seed);
  const modes = modesOf(model, startsOf(model)).slice(0, 3);
  const kept = modes.filter(({ value }) => value > modes[0]!.value - negligible);
  const draws = importanceDraws(model, [...kept, ...softerThan(model, modes[0]!)], plan, random);
  return draws.effectiveCount >= leastEffective
    ? { ...grounds, model, draws, method: "importance" }
    : { ...grounds, model, draws: temperedDraws(model, temperingPlan, random), method: "tempered" };
}

/** How much softer than at the mode a limit is looked for too, in prior deviations: a record shows little of that. */
const softer = [0.7, 1.4, 2.1];
const pull = 1e4;

/** The best points of softer limits: the tail towards them is long and bent, and draws around the mode miss it. */
function softerThan(model: LimitModel, mode: Mode): Mode[] {
  const found: Mode[] = [];
  for (const by of softer) {
    const wanted = mode.at[place.sharpness]! + by;
    const off = (at: Vector): number => at[place.sharpness]! - wanted;
    const held: LogDensity = {
      ...model,
      value: (at) => model.value(at) - (pull * off(at) ** 2) / 2,
      gradient: (at, into) => {
        const value = model.gradient(at, into) - (pull * off(at) ** 2) / 2;
        into[place.sharpness]! -= pull * off(at);
        return value;
      },
    };
    const { at } = modeOf(held, withCoordinate((found.at(-1) ?? mode).at, place.sharpness, wanted));
    const value = model.value(at);
    if (value < mode.value - negligible) break;
    found.push({ at, value });
  }
  return found;
}

/**
 * Where to climb from: limits high enough for all passes at three slopes (from the prior mean the climb goes astray), a
 * blunt one, and one that believes the crashes where passes contradict them.
 */
export function startsOf(model: LimitModel): Vector[] {
  const prior = new Float64Array(model.size);
  const starts: Vector[] = [-1.2, 0, 1.2].map((slope) =>
    lifted(model, withCoordinate(prior, place.slope, slope)),
  );
  starts.push(lifted(model, withCoordinate(prior, place.sharpness, 1.2)));
  const lowered = belowCrashes(model, prior);
  return lowered === undefined ? starts : [...starts, lowered];
}

const withCoordinate = (at: Float64Array, index: number, value: number): Float64Array => {
  const copy = Float64Array.from(at);
  copy[index] = value;
  return copy;
};

/** A pass shorter than this need not lie under the limit. */
const provesFromMinutes = 2;

/** Moves the limit up or down until the record that reaches furthest above it just fits. */
function lifted(model: LimitModel, at: Float64Array): Float64Array {
  const needs = model.records.flatMap((record, i) =>
    !record.failed && record.minutesFrom > provesFromMinutes
      ? [Math.log(record.clockMhz) - model.logLimitAt(i, at)]
      : [],
  );
  return needs.length === 0 ? at : shifted(model, at, Math.max(...needs) + 0.001);
}

function belowCrashes(model: LimitModel, at: Float64Array): Float64Array | undefined {
  const reaches = model.records.flatMap((record, i) =>
    record.failed ? [Math.log(record.clockMhz) - model.logLimitAt(i, at)] : [],
  );
  return reaches.length === 0 ? undefined : shifted(model, at, Math.min(...reaches) - 0.002);
}

const shifted = (model: LimitModel, at: Float64Array, by: number): Float64Array =>
  withCoordinate(at, place.headroom, at[place.headroom]! + by / model.frame.headroom.sd);

/** A sentence to follow another, with a space before it: which builds of the chip taught the start; nothing where none did. */
export function startInWords(builds: readonly string[]): string {
  if (builds.length === 0) return "";
  const [first, second, ...more] = builds;
  const named =
    second === undefined ? first : more.length === 0 ? `${first} and ${second}` : `${first}, ${second}`;
  return ` It starts from what this chip showed on ${named}${more.length === 0 ? "" : ` and ${more.length} more`}.`;
}
