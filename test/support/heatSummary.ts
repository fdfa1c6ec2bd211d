import type { HeatRun } from "../../server/bench/heat/heatReading.ts";
import type { HeatTrace } from "../../server/bench/heat/heatTrace.ts";
import { seededRandom } from "../../server/numerics/seededRandom.ts";
import { curveAt, type HeatWorld, heatTrace, heatWorld, levelOf } from "./simulatedHeat.ts";

export type HeatSummary = Readonly<{
  levelCoverage: number;
  levelHalfWidth: number;
  /** How often an end was given, and how often it was held where it was. */
  finalGiven: number;
  finalCoverage: number;
  finalHalfWidth: number;
  worstStartErrorS: number;
  medianLevelledErrorS: number;
  cycles: number;
}>;

const usualWindowS = 180;

/** How the readings of so many made-up runs compare with the truth they were made from. */
export function heatSummaryOf(
  runs: number,
  underS: number,
  read: (trace: HeatTrace) => HeatRun,
): HeatSummary {
  const all = Array.from({ length: runs }, (_, at) => {
    const random = seededRandom((at + 1) * 31);
    const world = heatWorld(random);
    const beforeS = random.uniform() < 0.7 ? 60 + random.index(60) : 0;
    const run = read(heatTrace(world, beforeS, underS, random));
    return { world, beforeS, run, levelC: windowMean(world, underS), levelledS: levelledAt(world) };
  });
  const levels = all.flatMap(({ run, levelC }) =>
    run.level === null ? [] : [{ ...run.level, truth: levelC }],
  );
  const finals = all.flatMap(({ run, world }) =>
    run.final === null ? [] : [{ ...run.final, truth: levelOf(world) }],
  );
  const held = (some: readonly { lowC: number; highC: number; truth: number }[]): number =>
    some.filter(({ lowC, highC, truth }) => lowC <= truth && truth <= highC).length / runs;
  const halves = (some: readonly { lowC: number; highC: number }[]): number =>
    median(some.map(({ lowC, highC }) => (highC - lowC) / 2));
  return {
    levelCoverage: held(levels),
    levelHalfWidth: halves(levels),
    finalGiven: finals.length / runs,
    finalCoverage: (held(finals) * runs) / finals.length,
    finalHalfWidth: halves(finals),
    worstStartErrorS: Math.max(
      ...all.map(({ run, beforeS }) => Math.abs((run.load?.fromS ?? -1e9) - beforeS)),
    ),
    medianLevelledErrorS: median(
      all.flatMap(({ run, levelledS }) => (run.levelledAtS === null ? [] : [run.levelledAtS - levelledS])),
    ),
    cycles: all.filter(({ run }) => run.cycle !== null).length,
  };
}

function windowMean(world: HeatWorld, underS: number): number {
  let sum = 0;
  for (let s = underS - usualWindowS; s < underS; s += 1)
    sum += curveAt(world, s) + (world.driftCPerH * s) / 3600;
  return sum / usualWindowS;
}

function levelledAt(world: HeatWorld): number {
  let s = 0;
  while (levelOf(world) - curveAt(world, s) > 1) s += 1;
  return s;
}

const median = (values: readonly number[]): number =>
  [...values].sort((a, b) => a - b)[values.length >> 1] ?? Number.NaN;
