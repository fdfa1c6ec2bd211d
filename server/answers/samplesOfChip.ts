import {
  type OffsetSamples,
  type SampleByOffset,
  type SamplesRanked,
  samplesByOffset,
  samplesRanked,
  type TriedSample,
} from "../bench/comparison/samples.ts";
import type { FrontierPoint } from "../bench/frontier/frontierPoint.ts";
import type { OffsetRow } from "../bench/frontier/offsetFrontier.ts";
import type { LimitAnswer } from "../bench/limit/limitCurve.ts";
import { hardnessOf, leastHardness } from "../bench/order/partsOfRun.ts";
import type { Build } from "../bench/things/build.ts";
import type { Chip, OffsetAxis } from "../bench/things/chip.ts";
import { invalid, missing } from "../bench/things/refusal.ts";
import type { Journal } from "../store/file/journal.ts";
import { limitAt } from "./fittedLimits.ts";
import { frontierOfBuild } from "./frontierOfBuild.ts";
import { answerTo, latestAnswerTo, limitQuestion } from "./limitOfBuild.ts";
import type { Reckonings } from "./reckoned.ts";

export type SamplesQuestion = Readonly<{
  chipId: string;
  voltageMv?: number | undefined;
  workloadId?: string | undefined;
}>;

export type SamplesOfChip = SamplesRanked &
  Readonly<{
    model: string;
    /** What their clocks are told in. */
    clockUnit: Chip["clockUnit"];
    /** The voltage and load that most samples have in common; null where they have none. */
    voltageMv: number | null;
    workloadId: string | null;
    /** Of chips that are set by offset: then they are ranked by it, and by no clock. */
    byOffset: OffsetSamples | null;
  }>;

/** Samples of a model at a common voltage and load, each by the build that holds most there; fits as last known. */
export const samplesOfChip = (
  journal: Journal,
  reckonings: Reckonings,
  question: SamplesQuestion,
): SamplesOfChip => {
  const { alike, model } = modelAsked(journal, question);
  const byOffset = rankedByOffset(journal, alike, model, question);
  if (byOffset !== null) return byOffset;
  const common = commonGround(journal, alike, question);
  return rankedOf(
    model,
    common,
    common?.samples.map(({ best }) =>
      best === null ? null : (latestAnswerTo(reckonings, fitOf(journal, best, common))?.answer ?? null),
    ),
  );
};

/** The same with the limits fitted on the journal as it is; waits for them. */
export async function settledSamplesOfChip(
  journal: Journal,
  reckonings: Reckonings,
  question: SamplesQuestion,
): Promise<SamplesOfChip> {
  const { alike, model } = modelAsked(journal, question);
  const byOffset = rankedByOffset(journal, alike, model, question);
  if (byOffset !== null) return byOffset;
  const common = commonGround(journal, alike, question);
  const fits = await Promise.all(
    (common?.samples ?? []).map(({ best }) =>
      best === null ? null : answerTo(reckonings, fitOf(journal, best, common!)),
    ),
  );
  return rankedOf(model, common, fits);
}

type Sample = Readonly<{
  chip: Chip;
  best: Build | null;
  heldMhz: number | null;
  lowestCrashMhz: number | null;
}>;
type Common = Readonly<{ voltageMv: number; workloadId: string; samples: readonly Sample[] }>;

const fitOf = (journal: Journal, { id }: Build, { workloadId }: Common) =>
  limitQuestion(journal, { buildId: id, workloadId, pooled: false });

function rankedOf(
  model: string,
  common: Common | null,
  fits: readonly (LimitAnswer | null)[] | undefined,
): SamplesOfChip {
  const tried = (common?.samples ?? []).map(({ chip, heldMhz, lowestCrashMhz }, i): TriedSample => {
    const fit = fits?.[i];
    const band = fit && fit.state === "fitted" ? bandAt(fit, common!.voltageMv) : null;
    return {
      chipId: chip.id,
      name: chip.name,
      heldMhz,
      lowestCrashMhz,
      lowMhz: band?.lowMhz ?? null,
      highMhz: band?.highMhz ?? null,
    };
  });
  const { voltageMv = null, workloadId = null } = common ?? {};
  const clockUnit = common?.samples[0]?.chip.clockUnit ?? "MHz";
  return {
    model,
    clockUnit,
    voltageMv,
    workloadId,
    byOffset: null,
    ...samplesRanked(model, tried, clockUnit),
  };
}

const bandAt = (fit: LimitAnswer, voltageMv: number) => limitAt(fit, 1)?.(voltageMv) ?? null;

/** Two names that differ by case or spaces are one. */
const sameWords = (words: string): string => words.trim().toLowerCase().replaceAll(/\s+/g, " ");

/** What samples of one model have in common, the way they are set with it; null where no model is named. */
export function modelKey({ kind, model, axis, offset }: Chip): string | null {
  if (model === null) return null;
  const setBy = axis === "offset" && offset ? [sameWords(offset.name), offset.unit, offset.harder] : [];
  return JSON.stringify([kind, sameWords(model), axis, ...setBy]);
}

type ModelAsked = Readonly<{ model: string; alike: readonly [Chip, ...Chip[]] }>;

/** The chip asked about first. */
function modelAsked(journal: Journal, { chipId }: SamplesQuestion): ModelAsked {
  const chip = journal.chips.find(chipId);
  if (!chip) throw missing("chip");
  const { model } = chip;
  if (model === null)
    throw invalid("Name the chip's model first: samples of one model are told by it.", {
      model: "Name the chip's model first.",
    });
  const key = modelKey(chip);
  const others = journal.chips.all().filter((one) => one.id !== chip.id && modelKey(one) === key);
  return { model, alike: [chip, ...others] };
}

/** The heaviest first: what holds under it speaks for lighter ones too, and the first of equals is taken. */
function loadsAsked(journal: Journal, workloadId: string | undefined) {
  const loads = journal.workloads
    .all()
    .filter(({ kind }) => kind !== "idle")
    .sort((a, b) => (b.severity ?? 0) - (a.severity ?? 0));
  return workloadId === undefined ? loads : loads.filter(({ id }) => id === workloadId);
}

function commonGround(
  journal: Journal,
  alike: readonly Chip[],
  { voltageMv, workloadId }: SamplesQuestion,
): Common | null {
  const grounds = loadsAsked(journal, workloadId).flatMap((load) => groundsUnder(journal, alike, load.id));
  const wanted = voltageMv === undefined ? grounds : grounds.filter((one) => one.voltageMv === voltageMv);
  const [widest = null] = wanted.sort(
    (a, b) => heldIn(b) - heldIn(a) || b.samples.length - a.samples.length || b.voltageMv - a.voltageMv,
  );
  return widest;
}

/** Null of chips that are set by clock. */
function rankedByOffset(
  journal: Journal,
  alike: readonly [Chip, ...Chip[]],
  model: string,
  { voltageMv, workloadId }: SamplesQuestion,
): SamplesOfChip | null {
  const [{ axis, offset, clockUnit }] = alike;
  if (axis !== "offset" || offset === null) return null;
  if (voltageMv !== undefined)
    throw invalid("These chips are set by offset: they are ranked by it, at no voltage.", {
      voltageMv: "Leave the voltage out.",
    });
  const grounds = loadsAsked(journal, workloadId).map((load) => ({
    workloadId: load.id,
    samples: alike.flatMap((chip) => furthestOf(journal, chip, offset, load.id)),
  }));
  const held = ({ samples }: (typeof grounds)[number]) =>
    samples.filter(({ heldLevel }) => heldLevel !== null).length;
  const [widest] = grounds
    .filter(({ samples }) => samples.length > 0)
    .sort((a, b) => held(b) - held(a) || b.samples.length - a.samples.length);
  return {
    ...{ model, clockUnit, voltageMv: null, workloadId: widest?.workloadId ?? null },
    ...{ samples: [], spread: null, reach: [] },
    ...samplesByOffset(model, widest?.samples ?? [], offset, (level) => hardnessOf(level, offset.harder)),
  };
}

/** By the build that holds most, as clocks are; none where nothing was tried under the load. */
function furthestOf(
  journal: Journal,
  chip: Chip,
  { harder }: OffsetAxis,
  workloadId: string,
): readonly SampleByOffset[] {
  const builds = journal.builds.ofChip(chip.id).flatMap((build) => {
    const { byOffset } = frontierOfBuild(journal, { buildId: build.id, workloadId });
    const rows = byOffset?.rows ?? [];
    const isTried = rows.some((row) => row.hardestPassed !== null || row.easiestCrash !== null);
    return isTried ? [weakestOf(rows, harder)] : [];
  });
  const [best] = builds.sort((a, b) => (b.heldLevel ?? -Infinity) - (a.heldLevel ?? -Infinity));
  return best === undefined ? [] : [{ chipId: chip.id, name: chip.name, ...best }];
}

/** A sample goes as far as the part that goes least far; one part that holds nothing yet leaves that open. */
function weakestOf(rows: readonly OffsetRow[], harder: OffsetAxis["harder"]) {
  const isWhole = rows.every(({ heldOffset }) => heldOffset !== null);
  return {
    heldLevel: isWhole
      ? leastHardness(
          rows.map(({ heldOffset }) => heldOffset),
          harder,
        )
      : null,
    crashLevel: leastHardness(
      rows.map(({ easiestCrash }) => easiestCrash),
      harder,
    ),
    parts: rows.filter(({ part }) => part !== null).length,
  };
}

const heldIn = ({ samples }: Common): number => samples.filter(({ heldMhz }) => heldMhz !== null).length;

/** Every voltage that some sample tried under a load, each with the samples that tried it. */
function groundsUnder(journal: Journal, chips: readonly Chip[], workloadId: string): Common[] {
  const tried = chips.flatMap((chip) =>
    journal.builds.ofChip(chip.id).flatMap((build) =>
      frontierOfBuild(journal, { buildId: build.id, workloadId }).points.map((point) => ({
        chip,
        build,
        point,
      })),
    ),
  );
  const voltages = [...new Set(tried.map(({ point }) => point.voltageMv))];
  return voltages.map((voltageMv) => {
    const here = tried.filter(({ point }) => point.voltageMv === voltageMv);
    const samples = chips.flatMap((chip) => {
      const own = here.filter((one) => one.chip.id === chip.id);
      return own.length === 0 ? [] : [sampleOf(chip, own)];
    });
    return { voltageMv, workloadId, samples };
  });
}

/** By the build that holds most; a crash of another build says nothing against it. */
function sampleOf(chip: Chip, own: readonly Readonly<{ build: Build; point: FrontierPoint }>[]): Sample {
  const [best] = [...own].sort((a, b) => (b.point.heldMhz ?? 0) - (a.point.heldMhz ?? 0));
  const { heldMhz, lowestCrashMhz } = best!.point;
  return { chip, best: best!.build, heldMhz, lowestCrashMhz };
}
