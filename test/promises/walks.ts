import { acceptableHazardPerMinute, targetOfUse } from "../../server/bench/limit/acceptance.ts";
import { type NextQuestion, nextAttemptOf } from "../../server/bench/next/nextAttempt.ts";
import type { EvidenceRow } from "../../server/bench/things/evidenceRow.ts";
import { testChip, testWorkload } from "../support/evidenceRows.ts";
import { type Subject, type Trial, voltageFor } from "../support/subject.ts";
import type { Bench } from "./subjects.ts";

/** Ways to find the limit of a simulated chip, and what each costs. All start at the chip's stock setting. */
export const hazard = acceptableHazardPerMinute(targetOfUse.benchmark);
export const stepMhz = 25;
const voltageStepMv = 12.5;

/** One attempt as it was foretold and as it came. */
export type Foretold = Readonly<{ chance: number; passed: boolean }>;

export type Walk<Answer> = Readonly<{
  /** Null where the search did not end. */
  answer: Answer | null;
  claimed: number;
  minutes: number;
  attempts: number;
  crashes: number;
  foretold: readonly Foretold[];
  rows: readonly EvidenceRow[];
}>;

class Tally {
  minutes = 0;
  crashes = 0;
  rows: EvidenceRow[] = [];
  foretold: Foretold[] = [];
  readonly bench: Bench;
  constructor(bench: Bench) {
    this.bench = bench;
  }
  passes(trial: Trial, chance?: number): boolean {
    const { row, benchMinutes } = this.bench.subject.ran(trial, this.bench.random);
    this.rows.push(row);
    this.minutes += benchMinutes;
    const passed = row.outcome === "pass";
    if (!passed) this.crashes += 1;
    if (chance !== undefined) this.foretold.push({ chance, passed });
    return passed;
  }
  walk<Answer>(answer: Answer | null, claimed = Number.NaN): Walk<Answer> {
    const { minutes, crashes, foretold, rows } = this;
    return { answer, claimed, minutes, attempts: rows.length, crashes, foretold, rows };
  }
}

/** One step up after each passed hour, until the first crash; the answer so many steps below the last pass. */
export function climb(bench: Bench, stepsBelow = 0, voltageMv = bench.subject.stock.voltageMv): Walk<number> {
  const tally = new Tally(bench);
  let clockMhz = bench.subject.stock.clockMhz;
  while (tally.passes({ clockMhz, voltageMv, minutes: 60 })) clockMhz += stepMhz;
  return tally.walk(clockMhz - (1 + stepsBelow) * stepMhz);
}

/** Halving between the start and 1200 MHz above it with ten-minute runs, then an hour at the answer, stepping back until one passes. */
export function bisectionWithProof(bench: Bench, stepsBelow = 0): Walk<number> {
  const tally = new Tally(bench);
  const { clockMhz: startMhz, voltageMv } = bench.subject.stock;
  const at = (step: number, minutes: number): Trial => ({
    clockMhz: startMhz + step * stepMhz,
    voltageMv,
    minutes,
  });
  let low = 0;
  let high = 48;
  while (high - low > 1) {
    const middle = (low + high) >> 1;
    if (tally.passes(at(middle, 10))) low = middle;
    else high = middle;
  }
  while (low > 0 && !tally.passes(at(low, 60))) low -= 1;
  return tally.walk(startMhz + (low - stepsBelow) * stepMhz);
}

/** 100 MHz a step with five-minute runs up to a crash, then 25 MHz a step with twenty-minute runs from the last pass. */
export function coarseThenFine(bench: Bench, stepsBelow = 5): Walk<number> {
  const tally = new Tally(bench);
  const { clockMhz: startMhz, voltageMv } = bench.subject.stock;
  let clockMhz = startMhz + 4 * stepMhz;
  while (tally.passes({ clockMhz, voltageMv, minutes: 5 })) clockMhz += 4 * stepMhz;
  clockMhz -= 3 * stepMhz;
  while (tally.passes({ clockMhz, voltageMv, minutes: 20 })) clockMhz += stepMhz;
  return tally.walk(clockMhz - (1 + stepsBelow) * stepMhz);
}

export const questionFor = (subject: Subject, rows: readonly EvidenceRow[], seed: number): NextQuestion => ({
  chip: testChip({
    stockClockMhz: subject.stock.clockMhz,
    stockVoltageMv: subject.stock.voltageMv,
    voltageCeilingMv: subject.ceilingMv,
  }),
  hottestAmbientC: 30,
  rows,
  workloads: [testWorkload("all-core")],
  seed,
});

/** A search that proposes more than this many attempts counts as endless. */
const longestWalk = 60;

/** The attempts proposed, one after another, until there is an answer. */
function proposedUntil<Answer>(
  bench: Bench,
  asked: Partial<NextQuestion>,
  answerIn: (settled: object) => Readonly<{ answer: Answer; chance: number }>,
): Walk<Answer> {
  const tally = new Tally(bench);
  for (let turn = 1; turn <= longestWalk; turn++) {
    const next = nextAttemptOf({ ...questionFor(bench.subject, tally.rows, turn), ...asked });
    if ("state" in next) break;
    if ("settled" in next) {
      const { answer, chance } = answerIn(next.settled);
      return tally.walk(answer, chance);
    }
    tally.passes({ ...next, minutes: next.durationS / 60 }, next.chanceOfPass);
  }
  return tally.walk<Answer>(null);
}

export const proposedWalk = (bench: Bench, asked: Partial<NextQuestion> = {}): Walk<number> =>
  proposedUntil(bench, { voltageMv: bench.subject.stock.voltageMv, ...asked }, (settled) => {
    const { clockMhz, chance } = settled as { clockMhz: number; chance: number };
    return { answer: clockMhz, chance };
  });

/** How an answer stands to the truth. */
export type Judged = Readonly<{ underMhz: number; unfit: boolean; hourPasses: number }>;

export function judged({ subject }: Bench, clockMhz: number, voltageMv = subject.stock.voltageMv): Judged {
  const underMhz = subject.clockAt(voltageMv, hazard) - clockMhz;
  const hourPasses = Math.exp(-60 * subject.hazardAt(clockMhz, voltageMv));
  return { underMhz, unfit: underMhz < 0, hourPasses };
}

/** One voltage step down after each passed hour, until the first crash: the usual way. */
export function climbDown(bench: Bench): Walk<number> {
  const tally = new Tally(bench);
  const { clockMhz, voltageMv: stockMv } = bench.subject.stock;
  let voltageMv = stockMv;
  while (tally.passes({ clockMhz, voltageMv, minutes: 60 })) voltageMv -= voltageStepMv;
  return tally.walk(voltageMv + voltageStepMv);
}

/** The attempts proposed for the lowest voltage that holds the stock clock. */
export const proposedUndervolt = (bench: Bench): Walk<number> =>
  proposedUntil(bench, { clockMhz: bench.subject.stock.clockMhz }, (settled) => {
    const { voltageMv, chance } = settled as { voltageMv: number; chance: number };
    return { answer: voltageMv, chance };
  });

/** How far above the lowest voltage that holds the stock clock an answer lies; below nothing where it fails too often. */
export const spareMv = ({ subject }: Bench, voltageMv: number): number =>
  voltageMv - voltageFor(subject, subject.stock.clockMhz, hazard);

/** Six voltages about stock, as far as the ceiling goes. */
export const sixVoltagesOf = ({ subject }: Bench): number[] => {
  const high = subject.ceilingMv - 50;
  return [5, 4, 3, 2, 1, 0].map((steps) => high - 50 * steps);
};

export type MappedPoint = Readonly<{ voltageMv: number; clockMhz: number; lowMhz: number; highMhz: number }>;

export const proposedMap = (bench: Bench): Walk<readonly MappedPoint[]> =>
  proposedUntil(bench, { voltagesMv: sixVoltagesOf(bench) }, (settled) => ({
    answer: (settled as { map: readonly MappedPoint[] }).map,
    chance: Number.NaN,
  }));

/** Climbs at each voltage with one-hour runs, each but the first from two steps below the answer before it. */
export function warmClimbs(bench: Bench): Walk<readonly number[]> {
  const tally = new Tally(bench);
  const answers: number[] = [];
  for (const voltageMv of sixVoltagesOf(bench)) {
    let clockMhz = (answers.at(-1) ?? bench.subject.stock.clockMhz) - 2 * stepMhz;
    while (!tally.passes({ clockMhz, voltageMv, minutes: 60 })) clockMhz -= 4 * stepMhz;
    while (tally.passes({ clockMhz: clockMhz + stepMhz, voltageMv, minutes: 60 })) clockMhz += stepMhz;
    answers.push(clockMhz);
  }
  return tally.walk(answers);
}
