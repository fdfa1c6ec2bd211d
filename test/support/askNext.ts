import {
  type NextAnswer,
  type NextQuestion,
  nextAttemptOf,
  type Proposal,
  type Settled,
} from "../../server/bench/next/nextAttempt.ts";
import type { EvidenceRow } from "../../server/bench/things/evidenceRow.ts";
import { evidenceRow, testChip, testWorkload } from "./evidenceRows.ts";

export const ask = (rows: readonly EvidenceRow[], differing: Partial<NextQuestion> = {}): NextAnswer =>
  nextAttemptOf({
    chip: testChip(),
    hottestAmbientC: 30,
    rows,
    workloads: [testWorkload("all-core")],
    voltageMv: differing.clockMhz || differing.voltagesMv ? null : 1250,
    seed: 1,
    ...differing,
  });
export const proposed = (answer: NextAnswer): Proposal => {
  if (!("durationS" in answer)) throw new Error(`no proposal: ${answer.because}`);
  return answer;
};
export const settled = (answer: NextAnswer): Settled => {
  if (!("settled" in answer)) throw new Error(`not settled: ${answer.because}`);
  return answer;
};

/** A search at 1250 mV that is over. */
export const narrowed = [
  evidenceRow({ clockMhz: 5000, durationS: 3600, loadTempC: 75 }),
  evidenceRow({ clockMhz: 5100, durationS: 3600, loadTempC: 76 }),
  evidenceRow({ clockMhz: 5125, durationS: 7200, loadTempC: 76 }),
  evidenceRow({ clockMhz: 5200, durationS: 30, outcome: "freeze" }),
  evidenceRow({ clockMhz: 5175, durationS: 120, outcome: "freeze" }),
  evidenceRow({ clockMhz: 5150, durationS: 900, outcome: "freeze" }),
];
