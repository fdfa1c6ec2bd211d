import { type Assumptions, usualAssumptions } from "../bench/comparison/assumptions.ts";
import { type BuildLoudness, loudnessesOf, type NoiseCondition } from "../bench/comparison/buildLoudness.ts";
import { withoutFanSweeps } from "../bench/comparison/fanSweep.ts";
import { type EqualNoise, equalNoiseOf, equalNoiseWords } from "../bench/comparison/heatOverNoise.ts";
import { type LoudnessRow, loudnessRows } from "../bench/comparison/loudness.ts";
import type { NoiseReading } from "../bench/noise/noiseReading.ts";
import type { Build } from "../bench/things/build.ts";
import { missing } from "../bench/things/refusal.ts";
import { isSetByClock } from "../bench/things/setting.ts";
import type { Journal } from "../store/file/journal.ts";

export type NoiseOfBuild = Readonly<{
  build: Build;
  /** Newest first. */
  readings: readonly NoiseReading[];
  /** Of readings that may stand for one another; of each alone where fan speeds were set apart in all of them. */
  loudness: readonly BuildLoudness[];
  /** Every other build that was read under the same condition; differences are theirs less this one's. */
  against: readonly Readonly<{ build: Build; rows: readonly LoudnessRow[] }>[];
  /** Temperature against loudness, where it was read at two fan speeds or more. */
  equalNoise: EqualNoise | null;
}>;

/** How far back a reading's page looks; nobody reads a meter more often on one build. */
const mostReadings = 500;

/** How loud a build is, beside every other build read under the same condition. */
export function noiseOfBuild(journal: Journal, buildId: string, worthHavingDb = 1): NoiseOfBuild {
  const build = journal.builds.find(buildId);
  if (!build) throw missing("build");
  const readings = readingsOf(journal, build);
  const others = journal.builds
    .all()
    .filter((other) => other.id !== build.id)
    .map((other) => ({ build: other, readings: readings.length > 0 ? readingsOf(journal, other) : [] }))
    .filter((other) => other.readings.length > 0);
  const worthHaving = { noise: worthHavingDb };
  const alike = (of: readonly NoiseReading[], id: string) =>
    of.length < 2 ? of : withoutFanSweeps(of, journal.attempts.runsOf(id));
  const own = alike(readings, buildId);
  const against = others
    .map((other) => {
      const rows = loudnessRows(own, alike(other.readings, other.build.id), { worthHaving });
      return { build: other.build, rows };
    })
    .filter(({ rows }) => rows.length > 0);
  return {
    build,
    readings,
    loudness: own.length > 0 ? loudnessesOf(own) : readings.flatMap((reading) => loudnessesOf([reading])),
    against,
    equalNoise: equalNoiseIn(journal, build, readings, others),
  };
}

const readingsOf = (journal: Journal, build: Build): readonly NoiseReading[] =>
  journal.noise.pageOf(build.id, { limit: mostReadings, after: null }).items;

function equalNoiseIn(
  journal: Journal,
  build: Build,
  readings: readonly NoiseReading[],
  others: readonly Readonly<{ build: Build; readings: readonly NoiseReading[] }>[],
): EqualNoise | null {
  if (readings.length < 2) return null;
  const sameChip = others.filter((other) => other.build.chipId === build.chipId);
  const set = new Set([build.id, ...sameChip.map((other) => other.build.id)]);
  const found = equalNoiseOf(
    { runs: journal.attempts.runsOf(build.id), readings },
    sameChip.map((other) => ({
      id: other.build.id,
      name: other.build.name,
      runs: journal.attempts.runsOf(other.build.id),
      readings: other.readings,
    })),
    {
      elsewhere: journal.builds
        .ofChip(build.chipId)
        .filter(({ id }) => !set.has(id))
        .map(({ id }) => journal.attempts.runsOf(id)),
      assumptions: assumptionsAlone(journal, build),
    },
  );
  return found ?? null;
}

/** One chip, so one sensor. */
function assumptionsAlone(journal: Journal, { chipId }: Build): Assumptions {
  const accuracyC = journal.chips.find(chipId)?.sensorAccuracyC ?? 1;
  return { ...usualAssumptions, sensorAccuracyC: [accuracyC, accuracyC] };
}

/** Two builds of one chip at equal loudness, in a sentence; null where they were not read so. */
export function equalLoudnessWords(journal: Journal, a: Build, b: Build): string | null {
  if (a.chipId !== b.chipId) return null;
  const readings = readingsOf(journal, a);
  const other = { build: b, readings: readingsOf(journal, b) };
  const found = equalNoiseIn(journal, a, readings, [other])?.others[0];
  return found === undefined ? null : equalNoiseWords(a.name, b.name, found);
}

/** What the next reading will likely be taken under: the settings last run, newest first, each once; of an offset its load alone. */
export function noiseConditionsOf(journal: Journal, buildId: string, most = 8): NoiseCondition[] {
  const { items } = journal.attempts.newestOf(buildId, 60);
  const told = new Map<string, NoiseCondition>();
  for (const attempt of items) {
    const { workloadId } = attempt;
    const { clockMhz, voltageMv } = isSetByClock(attempt) ? attempt : { clockMhz: null, voltageMv: null };
    const key = `${workloadId} ${clockMhz} ${voltageMv}`;
    if (told.size < most && !told.has(key)) told.set(key, { workloadId, clockMhz, voltageMv });
  }
  return [...told.values()];
}
