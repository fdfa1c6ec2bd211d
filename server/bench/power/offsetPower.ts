import { combinedUncertainty } from "../../numerics/combinedUncertainty.ts";
import { groupedBy } from "../../numerics/groups.ts";
import { type FoundVariance, mean, pooledVariance } from "../../numerics/moments.ts";
import { readingStep, roundingUncertainty } from "../../numerics/readingStep.ts";
import { keptRunning, trueClockMhz } from "../runs/electricalRun.ts";
import type { TaggedRun } from "../runs/runRow.ts";
import type { KnobValues } from "../things/asSet.ts";
import type { Chip } from "../things/chip.ts";
import { knobsElsewhere } from "../things/knob.ts";
import { offsetOf, offsetsListed, offsetWords } from "../things/setting.ts";
import { knobsInWords } from "../things/timings.ts";
import type { Workload } from "../things/workload.ts";
import { type MeasuringPlace, measuringPlaceOf } from "./switchingPower.ts";

/** What one offset draws and gives under one load, by the runs that kept running there. */
export type OffsetPower = Readonly<{
  /** Of the chip, or of the part under test; null where each part has its own. */
  offset: number | null;
  offsets: Readonly<Record<string, number>> | null;
  part: string | null;
  /** The knobs that stood elsewhere than usual; null where none did. */
  knobs: KnobValues | null;
  /** "+150 MHz with power limit 110 %". */
  words: string;
  attemptIds: readonly string[];
  runs: number;
  /** The mean of those in which power was read, and how many they are. */
  powerW: number | null;
  powerReadings: number;
  /** 95 %, by how far readings of one setting lie apart; null where it was read once, or where nothing was read twice. */
  powerEnds: readonly [low: number, high: number] | null;
  /** As it was read. */
  clockMhz: number | null;
  score: number | null;
  /** Null too where a lower score is the better one. */
  scorePerW: number | null;
  mhzPerW: number | null;
}>;

export type OffsetChip = Pick<Chip, "kind" | "clockUnit" | "offset" | "knobs">;

export type PoweredLoad = Pick<Workload, "id" | "scoreBetter">;

/** Every offset that kept running under one load and was read there, the easiest first; power at one place of reading. */
export function offsetPowersOf(
  runs: readonly TaggedRun[],
  load: PoweredLoad,
  powerAt: MeasuringPlace,
  chip: OffsetChip,
): OffsetPower[] {
  const ran = runs.filter((run) => run.workloadId === load.id && isSetByOffset(run) && keptRunning(run));
  const settings = [...groupedBy(ran, (run) => keyOf(run, chip)).values()];
  const wattsOf = (of: readonly TaggedRun[]): number[] =>
    of.flatMap((run) =>
      run.powerW !== null && run.powerW > 0 && measuringPlaceOf(run) === powerAt ? run.powerW : [],
    );
  const scatter = scatterOf(settings.map(wattsOf));
  return settings
    .map((same) => offsetPowerOf(same, wattsOf(same), scatter, chip))
    .filter(({ powerW, clockMhz, score }) => powerW !== null || clockMhz !== null || score !== null)
    .map((one) => (load.scoreBetter === "lower" ? { ...one, scorePerW: null } : one))
    .sort((one, other) => byHardness(one, other, chip) || inOrder.compare(one.words, other.words));
}

const isSetByOffset = ({ offset, offsets }: TaggedRun): boolean => offset != null || offsets != null;

/** A part under test is known by its own offset: the others idle. */
const keyOf = (run: TaggedRun, chip: OffsetChip): string => {
  const offset = offsetOf(run);
  const list = offset === null ? Object.entries(run.offsets ?? {}).sort(byName) : null;
  const knobs = Object.entries(knobsElsewhere(chip.knobs, run.knobs ?? null)).sort(byName);
  return JSON.stringify([offset, list, run.part ?? null, knobs]);
};

const byName = ([one]: readonly [string, unknown], [other]: readonly [string, unknown]): number =>
  one < other ? -1 : 1;

/** How far readings of one setting lie apart, as a share, and the step they were read in. */
type WattScatter = Readonly<{ share: FoundVariance; stepW: number | null }>;

/** Pooled over the settings whose power was read twice or more. */
function scatterOf(watts: readonly (readonly number[])[]): WattScatter | null {
  const share = pooledVariance(watts.map((read) => read.map(Math.log)));
  return share === undefined ? null : { share, stepW: readingStep(watts.flat()) };
}

function offsetPowerOf(
  runs: readonly TaggedRun[],
  watts: readonly number[],
  scatter: WattScatter | null,
  chip: OffsetChip,
): OffsetPower {
  const first = runs[0]!;
  const [offset, part, elsewhere] = [
    offsetOf(first),
    first.part ?? null,
    knobsElsewhere(chip.knobs, first.knobs ?? null),
  ];
  const offsets = offset === null ? (first.offsets ?? null) : null;
  const knobs = Object.keys(elsewhere).length === 0 ? null : elsewhere;
  const powerW = mean(watts) ?? null;
  const clockMhz = mean(runs.flatMap((run) => trueClockMhz(run) ?? [])) ?? null;
  const score = mean(runs.flatMap((run) => run.score ?? [])) ?? null;
  const perWatt = (of: number | null): number | null => (of === null || powerW === null ? null : of / powerW);
  return {
    ...{ offset, offsets, part, knobs },
    words: `${offsetInWords({ offset, offsets, part }, chip)}${knobs === null ? "" : ` with ${knobsInWords(chip, knobs)}`}`,
    attemptIds: runs.map(({ id }) => id),
    runs: runs.length,
    powerW,
    powerReadings: watts.length,
    powerEnds: powerW === null || scatter === null ? null : endsOf(powerW, watts.length, scatter),
    clockMhz,
    score,
    scorePerW: perWatt(score),
    mhzPerW: perWatt(clockMhz),
  };
}

const offsetInWords = (
  { offset, offsets, part }: Pick<OffsetPower, "offset" | "offsets" | "part">,
  chip: OffsetChip,
): string =>
  offset === null
    ? offsetsListed(offsets ?? {}, chip)
    : `${offsetWords(offset, chip)}${part === null ? "" : ` on ${part}`}`;

function endsOf(powerW: number, readings: number, { share, stepW }: WattScatter): OffsetPower["powerEnds"] {
  if (readings < 2) return null;
  const deviationW = powerW * Math.sqrt(share.variance);
  const half = combinedUncertainty([
    { standard: deviationW / Math.sqrt(readings), degreesOfFreedom: share.degreesOfFreedom },
    { standard: roundingUncertainty(stepW, deviationW), degreesOfFreedom: Infinity },
  ])?.expanded;
  return half === undefined ? null : [powerW - half, powerW + half];
}

/** How far it goes: of a list its mean. */
const levelOf = ({ offset, offsets }: OffsetPower): number =>
  offset ?? mean(Object.values(offsets ?? {})) ?? 0;

const byHardness = (one: OffsetPower, other: OffsetPower, { offset }: OffsetChip): number =>
  (offset?.harder === "down" ? -1 : 1) * (levelOf(one) - levelOf(other));

/** The hardest offset whose power was read; of its settings the one read most often. */
export function hardestRead(powers: readonly OffsetPower[]): OffsetPower | undefined {
  const read = powers.filter(({ powerW }) => powerW !== null);
  const hardest = read.at(-1);
  return read
    .filter((one) => hardest !== undefined && levelOf(one) === levelOf(hardest))
    .reduce<OffsetPower | undefined>(
      (most, one) => (most === undefined || one.powerReadings > most.powerReadings ? one : most),
      undefined,
    );
}

const inOrder = new Intl.Collator("en", { numeric: true });
