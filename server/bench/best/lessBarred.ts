import { evidenceClockMhz } from "../frontier/evidence.ts";
import { endedByHeat, heatEndsOf } from "../frontier/heatEnds.ts";
import { provenFromS, provenRunsOf } from "../frontier/provenRuns.ts";
import { barring, contesting, type Failure, failuresOf } from "../frontier/standingFailures.ts";
import { loadedRows } from "../limit/limitEvidence.ts";
import { barredNote } from "../next/nextWords.ts";
import type { EvidenceRow } from "../things/evidenceRow.ts";
import { outcomeWords } from "../things/outcome.ts";
import type { Setting } from "../things/setting.ts";
import { megahertz, volts } from "../things/words.ts";
import type { BestAnswer, BestQuestion, RecommendedSetting } from "./bestDesk.ts";

type Grounds = Pick<BestQuestion, "rows" | "chip" | "workloads">;

/**
 * An answer fitted earlier, less what the attempts since then forbid, without a fit. What it rested on was judged by the
 * fit, doubts and all; only what came since speaks against it here.
 */
export function lessBarred(kept: BestAnswer, since: ReadonlySet<string>, grounds: Grounds): BestAnswer {
  const bars = barsOf(grounds, since, kept.setting?.workloadId ?? null);
  const worthTrying = kept.worthTrying && isBarredFrom(bars, kept.worthTrying) ? null : kept.worthTrying;
  if (kept.setting === null) return { ...kept, worthTrying };
  const proved = provedOf(kept.setting, grounds);
  const against = objectionTo(proved, bars, Math.min(provenFromS, kept.setting.ranS));
  if (against === null) return { ...kept, worthTrying };
  return {
    ...kept,
    state: "looking",
    setting: nextBelow(kept.setting, proved, bars, grounds),
    worthTrying,
    nearer: null,
    because: [against],
  };
}

type Bars = Readonly<{
  failures: readonly Failure[];
  heatEnds: readonly EvidenceRow[];
  proven: ReturnType<typeof provenRunsOf>;
}>;

function barsOf(
  { rows, chip, workloads }: Grounds,
  since: ReadonlySet<string>,
  workloadId: string | null,
): Bars {
  const loaded = loadedRows(rows, workloads);
  const failures = failuresOf({ rows: loaded, chip, workloads, workloadId, doubted: new Set() }).filter(
    ({ row }) => since.has(row.id),
  );
  return {
    failures,
    heatEnds: heatEndsOf(loaded, workloads, workloadId).filter(({ id }) => since.has(id)),
    proven: provenRunsOf(loaded, failures, workloads, workloadId),
  };
}

const isBarredFrom = ({ failures, heatEnds }: Bars, setting: Setting): boolean =>
  barring(failures, setting) !== undefined || endedByHeat(heatEnds, setting) !== undefined;

/** The setting that ran, without the owner's guard in its voltage. */
const provedOf = ({ clockMhz, voltageMv, guarded }: RecommendedSetting, { chip }: Grounds): Setting => ({
  clockMhz,
  voltageMv: guarded ? voltageMv - chip.voltageStepMv : voltageMv,
});

/** Why a setting is no answer any more, or null. */
function objectionTo(setting: Setting, { failures, heatEnds, proven }: Bars, leastS: number): string | null {
  const told = `${megahertz(setting.clockMhz)} at ${volts(setting.voltageMv)}`;
  const failure = contesting(failures, setting);
  if (failure !== undefined) return `${told} is contested: ${barredNote(failure)}`;
  const hot = endedByHeat(heatEnds, setting);
  if (hot !== undefined)
    return `Heat ended ${megahertz(hot.clockMhz)} at ${volts(hot.voltageMv)} (${outcomeWords[hot.outcome]}), which heats no more than ${told}.`;
  return proven.longestS(setting) < leastS
    ? `What ran at ${told} is no longer on record as a pass long enough.`
    : null;
}

/** The highest clock that ran long enough at no more voltage and that nothing speaks against; its chance is not known yet. */
function nextBelow(
  kept: RecommendedSetting,
  proved: Setting,
  bars: Bars,
  { chip, rows, workloads }: Grounds,
): RecommendedSetting | null {
  const ran = loadedRows(rows, workloads)
    .filter(({ durationS, voltageMv }) => durationS >= provenFromS && voltageMv <= proved.voltageMv)
    .map((row) => ({ clockMhz: evidenceClockMhz(row) ?? Infinity, voltageMv: row.voltageMv }))
    .filter(({ clockMhz }) => clockMhz <= proved.clockMhz)
    .filter((setting) => objectionTo(setting, bars, provenFromS) === null)
    .sort((a, b) => b.clockMhz - a.clockMhz || a.voltageMv - b.voltageMv)[0];
  if (ran === undefined) return null;
  return {
    ...kept,
    clockMhz: ran.clockMhz,
    voltageMv: kept.guarded ? ran.voltageMv + chip.voltageStepMv : ran.voltageMv,
    chance: null,
    ranS: bars.proven.longestS(ran),
    crashes: null,
    loadTempC: null,
    marginC: null,
    powerW: null,
    score: null,
    scorePerW: null,
  };
}
