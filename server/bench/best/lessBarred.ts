import { ranAsSet } from "../frontier/evidence.ts";
import { provenFromS, provenRunsOf } from "../frontier/provenRuns.ts";
import { barring, contesting, type Failure, failuresOf } from "../frontier/standingFailures.ts";
import { lawOfHeatOf } from "../heat/lawOfHeat.ts";
import { loadedRows, rowsThatMayFail } from "../limit/limitEvidence.ts";
import { barredNote } from "../next/nextWords.ts";
import { heatObjectionTo, type Warmth, warmthOf, whyTooWarm } from "../next/warmth.ts";
import type { Setting } from "../things/setting.ts";
import { clockWords, type UnitOfClock, volts } from "../things/words.ts";
import type { BestAnswer, BestQuestion, RecommendedSetting } from "./bestDesk.ts";

type Grounds = Pick<BestQuestion, "rows" | "chip" | "workloads" | "hottestAmbientC" | "use">;

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
  warmth: Warmth;
  proven: ReturnType<typeof provenRunsOf>;
  unit: UnitOfClock;
}>;

function barsOf(grounds: Grounds, since: ReadonlySet<string>, workloadId: string | null): Bars {
  const { rows, chip, workloads } = grounds;
  const loaded = loadedRows(rows, workloads);
  const failing = rowsThatMayFail(rows, workloads);
  const failures = failuresOf({ rows: failing, chip, workloads, workloadId, doubted: new Set() }).filter(
    ({ row }) => since.has(row.id),
  );
  const found = lawOfHeatOf(loaded);
  const warmth = warmthOf(grounds, loaded, "unknown" in found ? null : found, workloadId);
  return {
    failures,
    warmth: { ...warmth, heatEnds: warmth.heatEnds.filter(({ id }) => since.has(id)) },
    proven: provenRunsOf(loaded, failures, workloads, workloadId),
    unit: chip.clockUnit,
  };
}

const isBarredFrom = ({ failures, warmth }: Bars, setting: Setting): boolean =>
  barring(failures, setting) !== undefined || heatObjectionTo(warmth, setting) !== null;

/** The setting that ran, without the owner's guard in its voltage. */
const provedOf = ({ clockMhz, voltageMv, guarded }: RecommendedSetting, { chip }: Grounds): Setting => ({
  clockMhz,
  voltageMv: guarded ? voltageMv - chip.voltageStepMv : voltageMv,
});

/** Why a setting is no answer any more, or null. */
function objectionTo(
  setting: Setting,
  { failures, warmth, proven, unit }: Bars,
  leastS: number,
): string | null {
  const told = `${clockWords(setting.clockMhz, unit)} at ${volts(setting.voltageMv)}`;
  const failure = contesting(failures, setting);
  if (failure !== undefined) return `${told} is contested: ${barredNote(failure, unit)}`;
  const tooWarm = whyTooWarm(warmth, setting);
  if (tooWarm !== null) return `${told} runs too warm. ${tooWarm}`;
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
    .filter((row) => row.durationS >= provenFromS && row.voltageMv <= proved.voltageMv && ranAsSet(row))
    .map(({ clockMhz, voltageMv }) => ({ clockMhz, voltageMv }))
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
    loadTempC: null,
    marginC: null,
    marginFrom: null,
    powerW: null,
    score: null,
    scorePerW: null,
  };
}
