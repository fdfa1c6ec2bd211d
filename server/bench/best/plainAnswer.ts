import type { FrontierPoint } from "../frontier/frontierPoint.ts";
import { provenRunsOf } from "../frontier/provenRuns.ts";
import { failuresOf } from "../frontier/standingFailures.ts";
import { answerOfUse } from "../limit/acceptance.ts";
import { loadedRows, rowsThatMayFail } from "../limit/limitEvidence.ts";
import { plainAdvice } from "../next/plainAdvice.ts";
import type { Use } from "../things/aim.ts";
import type { Chip } from "../things/chip.ts";
import type { EvidenceRow } from "../things/evidenceRow.ts";
import { knobsOfSetting } from "../things/timings.ts";
import { clockWords, volts } from "../things/words.ts";
import type { Workload } from "../things/workload.ts";
import type { BestAnswer, RecommendedSetting } from "./bestDesk.ts";

type Grounds = Readonly<{
  points: readonly FrontierPoint[];
  rows: readonly EvidenceRow[];
  workloads: readonly Workload[];
  chip: Chip;
  use: Use;
}>;

/** The setting to run where no fit can be had: one step under the highest clock that holds by the rule. */
export function plainAnswerOf(grounds: Grounds): BestAnswer {
  const advice = plainAdvice(grounds.points, grounds.chip);
  const setting = advice === undefined ? null : settingOf(advice, grounds);
  return {
    state: "too-little",
    setting,
    worthTrying: null,
    highestSeen: null,
    nearer: null,
    sharpness: null,
    atVoltages: [],
    because: [
      advice === undefined
        ? "No setting holds by the rule with its heat margin and under the ceiling."
        : `It lies one step under ${clockWords(advice.heldMhz, grounds.chip.clockUnit)}, the highest that held at ${volts(advice.voltageMv)}.`,
    ],
    passedOver: [],
    perWatt: null,
  };
}

function settingOf(
  { clockMhz, voltageMv, marginC }: Readonly<{ clockMhz: number; voltageMv: number; marginC: number | null }>,
  { rows, workloads, chip, use }: Grounds,
): RecommendedSetting {
  const loaded = loadedRows(rows, workloads);
  const failing = rowsThatMayFail(rows, workloads);
  const failures = failuresOf({ rows: failing, chip, workloads, workloadId: null, doubted: new Set() });
  const proven = provenRunsOf(loaded, failures, workloads, null);
  return {
    clockMhz,
    voltageMv,
    workloadId: null,
    chance: null,
    hours: answerOfUse[use].hours,
    ranS: proven.longestS({ clockMhz, voltageMv }),
    guarded: false,
    knobs: knobsOfSetting(chip, rows.at(-1)?.knobs ?? null),
    loadTempC: null,
    marginC,
    marginFrom: marginC === null ? null : "read",
    powerW: null,
    score: null,
    scorePerW: null,
    from: "held",
  };
}
