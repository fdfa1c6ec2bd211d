import { clockDifferenceOf } from "../../server/bench/limit/clockDifference.ts";
import { nextAttemptOf } from "../../server/bench/next/nextAttempt.ts";
import { seededRandom } from "../../server/numerics/seededRandom.ts";
import { testChip, testWorkload } from "../support/evidenceRows.ts";
import { ranOn, simulatedChip, trueClockAt } from "../support/simulatedChip.ts";
import { atMost, inTurn, type Measurement, median, millisecondsOf } from "./measurement.ts";

/** Attempts around the limit of one simulated chip, at six voltages. */
function attemptsOf(count: number, seed: number) {
  const random = seededRandom(seed);
  const chip = simulatedChip("mixed", seededRandom(81));
  return Array.from({ length: count }, () => {
    const voltageMv = 1150 + 50 * random.index(6);
    const clockMhz = 25 * Math.round((trueClockAt(chip, voltageMv, 1 / 569) + 60 * random.normal()) / 25);
    return ranOn(chip, { clockMhz, voltageMv, minutes: [10, 20, 60][random.index(3)]! }, random).row;
  });
}

/** As many exponentials as 2000 draws of 100 records take, one each. */
function exponentials(): number {
  let sum = 0;
  for (let k = 0; k < 200_000; k++) sum += Math.exp(-((k % 1000) + 0.5) / 1000);
  return sum;
}

const limitFit: Measurement = {
  name: "fit",
  goal: "limit fitted to 100 attempts and the next proposed in at most 45 x the exponentials of one pass of its draws",
  run: async () => {
    const rows = attemptsOf(100, 1);
    const question = { chip: testChip(), hottestAmbientC: 30, rows, workloads: [testWorkload("all-core")] };
    let seed = 0; // another one each time, since the last fits are kept
    const found = await inTurn(
      () => {
        seed += 1;
        return millisecondsOf(() => nextAttemptOf({ ...question, voltageMv: 1250, seed }));
      },
      () => millisecondsOf(exponentials),
      15,
    );
    return atMost(found, "ms", 45);
  },
};

/** Milliseconds of processor time, which a busy machine does not stretch as it does the clock's. */
function processorMilliseconds(work: () => unknown): number {
  const before = process.cpuUsage();
  work();
  const { user, system } = process.cpuUsage(before);
  return (user + system) / 1000;
}

const largeFit: Measurement = {
  name: "large fit",
  goal: "limit fitted to 2,000 attempts and three other builds as large in at most 30 x the processor time of 100 attempts",
  run: async () => {
    const about = {
      chip: testChip(),
      hottestAmbientC: 30,
      workloads: [testWorkload("all-core")],
      voltageMv: 1250,
    };
    const small = { ...about, rows: attemptsOf(100, 1) };
    const otherBuilds = [3, 4, 5].map((seed) => ({ name: `Board ${seed}`, rows: attemptsOf(2000, seed) }));
    const large = { ...about, rows: attemptsOf(2000, 2), otherBuilds };
    let seed = 0;
    const timeOf = (question: typeof small): number => {
      seed += 1;
      return processorMilliseconds(() => nextAttemptOf({ ...question, seed }));
    };
    const found = await inTurn(
      () => timeOf(large),
      () => median([1, 2, 3, 4, 5].map(() => timeOf(small))),
      5,
    );
    return atMost(found, "ms", 30);
  },
};

const difference: Measurement = {
  name: "difference",
  goal: "two builds of 36 attempts fitted together in at most 2 x the processor time of a fit of as many and its proposal",
  run: async () => {
    const workloads = [testWorkload("all-core")];
    const [rowsOfA, rowsOfB] = [attemptsOf(36, 6), attemptsOf(36, 7)];
    const chip = testChip();
    const one = { chip, hottestAmbientC: 30, rows: [...rowsOfA, ...rowsOfB], workloads, voltageMv: 1250 };
    const pair = { a: { chip, rows: rowsOfA }, b: { chip, rows: rowsOfB }, workloads, workloadId: null };
    let seed = 0;
    const found = await inTurn(
      () => {
        seed += 1;
        return processorMilliseconds(() => clockDifferenceOf({ ...pair, seed }));
      },
      () => {
        seed += 1;
        return processorMilliseconds(() => nextAttemptOf({ ...one, seed }));
      },
    );
    return atMost(found, "ms", 2);
  },
};

export const measurements: readonly Measurement[] = [limitFit, largeFit, difference];
