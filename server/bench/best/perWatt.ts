import { type PowerLaw, powerLawOf } from "../heat/powerLaw.ts";
import type { Setting } from "../next/nextAnswer.ts";
import type { Chip } from "../things/chip.ts";
import { stepBelow } from "../things/clockSteps.ts";
import type { EvidenceRow } from "../things/evidenceRow.ts";
import { clockWords, type UnitOfClock } from "../things/words.ts";
import type { Workload } from "../things/workload.ts";
import { type WorkRate, type WorkRun, workRateOf } from "./workRate.ts";

/** What efficiency is counted in, and why. */
export type PerWattBasis = Readonly<{
  of: "score" | "clock";
  /** The load whose scores count; null where the clock stands in for them. */
  workloadId: string | null;
  scoreUnit: string | null;
  /** Whether power was read, rather than taken to follow voltage squared times clock. */
  powerRead: boolean;
  because: string;
}>;

export type PerWatt = PerWattBasis &
  Readonly<{
    /** Work per watt, in no unit: only for putting settings in order. */
    at: (setting: Setting) => number;
    scoreAt: (clockMhz: number) => number | null;
    /** Null where score and power are not both read under one load, or less of the score is better. */
    scorePerWAt: (setting: Setting) => number | null;
  }>;

type Grounds = Readonly<{
  rows: readonly EvidenceRow[];
  scores: readonly WorkRun[];
  workloads: readonly Workload[];
  asked: string | null;
  clockUnit: UnitOfClock;
}>;

/** Work per watt by the build's own scores under one load; the clock stands in for work where they do not tell. */
export function perWattOf({ rows, scores, workloads, asked, clockUnit }: Grounds): PerWatt {
  const found = workRateOf(scores, workloads, asked);
  const rate = "unknown" in found ? null : found;
  const load = workloads.find(({ id }) => id === rate?.workloadId);
  const own = rate && powerLawOf(rows.filter(({ workloadId }) => workloadId === rate.workloadId));
  const law = own ?? powerLawOf(rows);
  const work = rate?.workAt ?? ((clockMhz: number): number => clockMhz);
  const wattsAt = law?.wattsAt ?? ((clockMhz, voltageMv) => (voltageMv / 1000) ** 2 * clockMhz);
  return {
    of: rate === null ? "clock" : "score",
    workloadId: rate?.workloadId ?? null,
    scoreUnit: load?.scoreUnit ?? null,
    powerRead: law !== undefined,
    because: `${workWords(rate, load, "unknown" in found ? found.unknown : "", clockUnit)} ${powerWords(law, own ?? undefined, rate)}`,
    at: ({ clockMhz, voltageMv }) => work(clockMhz) / wattsAt(clockMhz, voltageMv),
    scoreAt: (clockMhz) => rate?.scoreAt(clockMhz) ?? null,
    scorePerWAt: ({ clockMhz, voltageMv }) =>
      rate === null || !own || load?.scoreBetter === "lower"
        ? null
        : rate.scoreAt(clockMhz) / own.wattsAt(clockMhz, voltageMv),
  };
}

function workWords(
  rate: WorkRate | null,
  load: Workload | undefined,
  unknown: string,
  unit: UnitOfClock,
): string {
  if (rate === null || load === undefined)
    return `Clock per watt decides, since no score tells what a clock brings: ${unknown}.`;
  const span = `${rate.runs} scored runs from ${clockWords(rate.fromMhz, unit)} to ${clockWords(rate.toMhz, unit)}`;
  return load.scoreBetter === "lower"
    ? `Work per watt decides: less of the score of ${load.name} is more work, read along a line through ${span}.`
    : `Score per watt decides: the score of ${load.name}, read along a line through ${span}.`;
}

function powerWords(law: PowerLaw | undefined, own: PowerLaw | undefined, rate: WorkRate | null): string {
  if (law === undefined)
    return "The chip's power was not read at two voltages, so watts are taken to follow voltage squared times clock.";
  const readings = `${law.readings} readings at ${law.voltages} voltages`;
  return rate !== null && own === undefined
    ? `Watts by ${readings} under another load.`
    : `Watts by ${readings}.`;
}

/** Between two clocks at one voltage, of those that can be set, the one that gives most per watt; the highest of those that give as much. */
export function mostPerWattBetween(
  perWatt: PerWatt,
  voltageMv: number,
  { fromMhz, toMhz, chip }: Readonly<{ fromMhz: number; toMhz: number; chip: Chip }>,
): number {
  let best = toMhz;
  for (let clockMhz = stepBelow(toMhz, chip); clockMhz > fromMhz; clockMhz = stepBelow(clockMhz, chip))
    if (perWatt.at({ clockMhz, voltageMv }) > perWatt.at({ clockMhz: best, voltageMv }) * (1 + 1e-9))
      best = clockMhz;
  return best;
}
