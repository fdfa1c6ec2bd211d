import { nextAttemptOf } from "../../server/bench/next/nextAttempt.ts";
import { seededRandom } from "../../server/numerics/seededRandom.ts";
import { testChip, testWorkload } from "../support/evidenceRows.ts";
import { ranOn, simulatedChip, trueClockAt } from "../support/simulatedChip.ts";
import { atMost, inTurn, type Measurement, millisecondsOf } from "./measurement.ts";

/** A hundred attempts around the limit of one simulated chip, at six voltages. */
function hundredAttempts() {
  const random = seededRandom(81);
  const chip = simulatedChip("mixed", random);
  return Array.from({ length: 100 }, () => {
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
    const rows = hundredAttempts();
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

export const measurements: readonly Measurement[] = [limitFit];
