import { acceptableHazardPerMinute, targetOfUse } from "../../server/bench/limit/acceptance.ts";
import { type NextQuestion, nextAttemptOf } from "../../server/bench/next/nextAttempt.ts";
import type { EvidenceRow } from "../../server/bench/things/evidenceRow.ts";
import type { SeededRandom } from "../../server/numerics/seededRandom.ts";
import { testChip, testWorkload } from "../support/evidenceRows.ts";
import {
  ranOn,
  type SimulatedChip,
  type Trial,
  trueClockAt,
  trueVoltageFor,
} from "../support/simulatedChip.ts";

/** Ways to find the limit of a simulated chip, and what each costs. All start at 4600 MHz, some 600 below the limit. */
export const hazard = acceptableHazardPerMinute(targetOfUse.benchmark);
export const startMhz = 4600;
export const stepMhz = 25;
export const sixVoltages = [1150, 1200, 1250, 1300, 1350, 1400] as const;

export type Walk = Readonly<{
  answerMhz: number;
  claimed: number;
  minutes: number;
  attempts: number;
  crashes: number;
}>;

export type Bench = Readonly<{
  chip: SimulatedChip;
  random: SeededRandom;
  /** What gets written down of a run, where it is not the truth. */
  written?: (row: EvidenceRow, count: number) => EvidenceRow;
}>;

class Tally {
  minutes = 0;
  crashes = 0;
  rows: EvidenceRow[] = [];
  readonly bench: Bench;
  constructor(bench: Bench) {
    this.bench = bench;
  }
  passes(trial: Trial): boolean {
    const ran = ranOn(this.bench.chip, trial, this.bench.random);
    const row = this.bench.written?.(ran.row, this.rows.length) ?? ran.row;
    this.rows.push(row);
    this.minutes += ran.benchMinutes;
    if (row.outcome !== "pass") this.crashes += 1;
    return row.outcome === "pass";
  }
  walk(answerMhz: number, claimed = Number.NaN): Walk {
    const { minutes, crashes } = this;
    return { answerMhz, claimed, minutes, attempts: this.rows.length, crashes };
  }
}

/** One step up after each passed hour, until the first crash: the usual way. */
export function climb(bench: Bench, voltageMv: number, fromMhz = startMhz): Walk {
  const tally = new Tally(bench);
  let clockMhz = fromMhz;
  while (tally.passes({ clockMhz, voltageMv, minutes: 60 })) clockMhz += stepMhz;
  return tally.walk(clockMhz - stepMhz);
}

/** Halving between the start and 1200 MHz above it with ten-minute runs, then an hour at the answer, stepping back until one passes. */
export function bisectionWithProof(bench: Bench, voltageMv: number): Walk {
  const tally = new Tally(bench);
  let low = 0;
  let high = 48;
  while (high - low > 1) {
    const middle = (low + high) >> 1;
    if (tally.passes({ clockMhz: startMhz + middle * stepMhz, voltageMv, minutes: 10 })) low = middle;
    else high = middle;
  }
  while (low > 0 && !tally.passes({ clockMhz: startMhz + low * stepMhz, voltageMv, minutes: 60 })) low -= 1;
  return tally.walk(startMhz + low * stepMhz);
}

export const questionFor = (rows: readonly EvidenceRow[], seed: number): NextQuestion => ({
  chip: testChip({ voltageCeilingMv: 1450 }),
  hottestAmbientC: 30,
  rows,
  workloads: [testWorkload("all-core")],
  seed,
});

const longestWalk = 60;

/** The attempts proposed, one after another, until done. */
export function proposedWalk(bench: Bench, voltageMv: number): Walk {
  const tally = new Tally(bench);
  for (let turn = 1; turn <= longestWalk; turn++) {
    const next = nextAttemptOf({ ...questionFor(tally.rows, turn), voltageMv });
    if ("state" in next) throw new Error(next.because);
    if ("settled" in next) {
      if (!("clockMhz" in next.settled)) throw new Error("settled on something else than a clock");
      return tally.walk(next.settled.clockMhz, next.settled.chance);
    }
    tally.passes({ ...next, minutes: next.durationS / 60 });
  }
  throw new Error("never settled");
}

/** How far an answer lies under the highest clock that is acceptable. */
export const spareMhz = (walk: Walk, chip: SimulatedChip, voltageMv: number): number =>
  trueClockAt(chip, voltageMv, hazard) - walk.answerMhz;

/** The clock held while undervolting, and where it starts: the stock point. */
export const heldMhz = startMhz;
const stockMv = 1250;
const voltageStepMv = 12.5;

export type VoltageWalk = Readonly<{ answerMv: number; claimed: number; minutes: number; attempts: number }>;

/** One voltage step down after each passed hour, until the first crash: the usual way. */
export function climbDown(bench: Bench): VoltageWalk {
  const tally = new Tally(bench);
  let voltageMv = stockMv;
  while (tally.passes({ clockMhz: heldMhz, voltageMv, minutes: 60 })) voltageMv -= voltageStepMv;
  const { minutes, rows } = tally;
  return { answerMv: voltageMv + voltageStepMv, claimed: Number.NaN, minutes, attempts: rows.length };
}

/** The attempts proposed for the lowest voltage that holds a clock, until settled. */
export function proposedUndervolt(bench: Bench): VoltageWalk {
  const tally = new Tally(bench);
  for (let turn = 1; turn <= longestWalk; turn++) {
    const next = nextAttemptOf({ ...questionFor(tally.rows, turn), clockMhz: heldMhz });
    if ("state" in next) throw new Error(next.because);
    if ("settled" in next) {
      if (!("voltageMv" in next.settled)) throw new Error("settled on something else than a voltage");
      const { voltageMv, chance } = next.settled;
      const { minutes, rows } = tally;
      return { answerMv: voltageMv, claimed: chance, minutes, attempts: rows.length };
    }
    tally.passes({ ...next, minutes: next.durationS / 60 });
  }
  throw new Error("never settled");
}

/** Whether the clock held fails more often at the answer than was accepted. */
export const isTooLow = (walk: VoltageWalk, chip: SimulatedChip): boolean =>
  trueClockAt(chip, walk.answerMv, hazard) < heldMhz;

/** How far above the lowest voltage that holds the clock an answer lies. */
export const spareMv = (walk: VoltageWalk, chip: SimulatedChip): number =>
  walk.answerMv - trueVoltageFor(chip, heldMhz, hazard);

export type MapWalk = Readonly<{
  minutes: number;
  attempts: number;
  withinOneStep: number;
  covered: number;
  settled: boolean;
}>;

/** The attempts proposed for a map of six voltages. */
export function proposedMap(bench: Bench): MapWalk {
  const tally = new Tally(bench);
  for (let turn = 1; turn <= longestWalk; turn++) {
    const next = nextAttemptOf({ ...questionFor(tally.rows, turn), voltagesMv: sixVoltages });
    if ("state" in next) throw new Error(next.because);
    if ("settled" in next) {
      if (!("map" in next.settled)) throw new Error("settled on something else than a map");
      const map = next.settled.map;
      const truths = map.map(({ voltageMv }) => trueClockAt(bench.chip, voltageMv, hazard));
      const withinOneStep = map.filter(
        ({ clockMhz }, i) => Math.abs(stepsBetween(clockMhz, truths[i]!)) <= 1,
      );
      const covered = map.filter(({ lowMhz, highMhz }, i) => lowMhz <= truths[i]! && truths[i]! <= highMhz);
      const { minutes } = tally;
      return {
        minutes,
        attempts: tally.rows.length,
        withinOneStep: withinOneStep.length / map.length,
        covered: covered.length / map.length,
        settled: true,
      };
    }
    tally.passes({ ...next, minutes: next.durationS / 60 });
  }
  const { minutes } = tally;
  return { minutes, attempts: tally.rows.length, withinOneStep: 0, covered: 0, settled: false };
}

/** Six climbs, each from where the one before ended. */
export function warmClimbs(bench: Bench): Readonly<{ minutes: number; withinOneStep: number }> {
  let from: number = startMhz - 16 * stepMhz;
  let minutes = 0;
  let within = 0;
  for (const voltageMv of sixVoltages) {
    const walk = climb(bench, voltageMv, from);
    minutes += walk.minutes;
    if (Math.abs(stepsBetween(walk.answerMhz, trueClockAt(bench.chip, voltageMv, hazard))) <= 1) within += 1;
    from = walk.answerMhz;
  }
  return { minutes, withinOneStep: within / sixVoltages.length };
}

const stepsBetween = (clockMhz: number, truthMhz: number): number =>
  (clockMhz - startMhz) / stepMhz - Math.floor((truthMhz - startMhz) / stepMhz);

export const isUnfit = (walk: Walk, chip: SimulatedChip, voltageMv: number): boolean =>
  walk.answerMhz > trueClockAt(chip, voltageMv, hazard);

export const meanOf = (values: readonly number[]): number =>
  values.reduce((sum, value) => sum + value, 0) / values.length;
