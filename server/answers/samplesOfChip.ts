import { type SamplesRanked, samplesRanked, type TriedSample } from "../bench/comparison/samples.ts";
import type { FrontierPoint } from "../bench/frontier/frontierPoint.ts";
import type { LimitAnswer } from "../bench/limit/limitCurve.ts";
import type { Build } from "../bench/things/build.ts";
import type { Chip } from "../bench/things/chip.ts";
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
  }>;

/** Samples of a model at a common voltage and load, each by the build that holds most there; fits as last known. */
export const samplesOfChip = (
  journal: Journal,
  reckonings: Reckonings,
  question: SamplesQuestion,
): SamplesOfChip => {
  const { model, common } = commonGround(journal, question);
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
  const { model, common } = commonGround(journal, question);
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
  return { model, clockUnit, voltageMv, workloadId, ...samplesRanked(model, tried, clockUnit) };
}

const bandAt = (fit: LimitAnswer, voltageMv: number) => limitAt(fit, 1)?.(voltageMv) ?? null;

/** Two names that differ by case or spaces are one. */
export const sameModel = (model: string): string => model.trim().toLowerCase().replaceAll(/\s+/g, " ");

function commonGround(
  journal: Journal,
  { chipId, voltageMv, workloadId }: SamplesQuestion,
): Readonly<{ model: string; common: Common | null }> {
  const chip = journal.chips.find(chipId);
  if (!chip) throw missing("chip");
  const { model } = chip;
  if (model === null)
    throw invalid("Name the chip's model first: samples of one model are told by it.", {
      model: "Name the chip's model first.",
    });
  const chips = journal.chips
    .all()
    .filter(
      (one) => one.kind === chip.kind && one.model !== null && sameModel(one.model) === sameModel(model),
    );
  // The heaviest first: what holds under it speaks for lighter ones too, and the first of equals is taken.
  const loads = journal.workloads
    .all()
    .filter(({ kind }) => kind !== "idle")
    .sort((a, b) => (b.severity ?? 0) - (a.severity ?? 0));
  const asked = workloadId === undefined ? loads : loads.filter(({ id }) => id === workloadId);
  const grounds = asked.flatMap((load) => groundsUnder(journal, chips, load.id));
  const wanted = voltageMv === undefined ? grounds : grounds.filter((one) => one.voltageMv === voltageMv);
  const [widest = null] = wanted.sort(
    (a, b) => heldIn(b) - heldIn(a) || b.samples.length - a.samples.length || b.voltageMv - a.voltageMv,
  );
  return { model, common: widest };
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
