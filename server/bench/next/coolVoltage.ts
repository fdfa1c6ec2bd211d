import { resampled } from "../../numerics/particles.ts";
import { weightedQuantilesOf } from "../../numerics/weightedQuantiles.ts";
import { loadedRows } from "../limit/limitEvidence.ts";
import { clocksAtHazard, limitDrawsOf } from "../limit/limitReach.ts";
import { ladderAtVoltage } from "./ladderDesk.ts";
import { clockUnitOf, type NextDesk, roomForGuard } from "./nextDesk.ts";
import { ruledOutByHeat } from "./nextWords.ts";
import { whyTooWarm } from "./warmth.ts";

/** So many draws are enough to tell one voltage from another. */
const drawsWeighed = 400;
const mostVoltages = 40;
/** Lower than this share of what was asked nobody looks for the highest clock. */
const lowestShare = 0.6;
/** A little under the stock clock is still worth knowing. */
const farUnderStock = 0.9;
/** A search stays at the lower voltage it was at last as long as that gives nearly as much: one voltage is done before another. */
const nearlyBest = 0.97;

/** The voltage to look at in place of the one asked: the guard of daily use has to fit above it, and heat to leave enough there. */
export const voltageLookedAt = (desk: NextDesk, askedMv: number): number =>
  coolVoltage(desk, roomForGuard(desk, askedMv));

/**
 * Where heat leaves far less there than the clock the chip comes with, that
 * voltage is done: the one below that likely gives most stands in for it, and why is said. The one asked where none gives more.
 */
function coolVoltage(desk: NextDesk, askedMv: number): number {
  const mostMhz = mostByHeat(desk, askedMv);
  if (mostMhz >= farUnderStock * desk.fit.frame.clockMhz) return askedMv;
  const likelyMhz = likelyClocks(desk);
  const reachAt = (voltageMv: number): number => Math.min(mostByHeat(desk, voltageMv), likelyMhz(voltageMv));
  let best = { voltageMv: askedMv, clockMhz: mostMhz };
  for (const voltageMv of voltagesBelow(desk, askedMv)) {
    const clockMhz = reachAt(voltageMv);
    if (clockMhz > best.clockMhz) best = { voltageMv, clockMhz };
  }
  if (best.voltageMv === askedMv) return askedMv;
  const lastMv = loadedRows(desk.question.rows, desk.question.workloads).at(-1)?.voltageMv ?? askedMv;
  const stays = lastMv < askedMv && reachAt(lastMv) >= nearlyBest * best.clockMhz;
  const voltageMv = stays ? lastMv : best.voltageMv;
  desk.blocked.push(ruledOutByHeat({ voltageMv: askedMv, mostMhz }, voltageMv, clockUnitOf(desk)));
  return voltageMv;
}

/** Infinity where heat sets no end within reach, 0 where nothing there stays cool enough. */
function mostByHeat(desk: NextDesk, voltageMv: number): number {
  const { mostByHeat: rung, settingAt, hardest } = ladderAtVoltage(voltageMv, desk.hazard)(desk);
  if (rung !== Number.POSITIVE_INFINITY) return settingAt(rung).clockMhz;
  return whyTooWarm(desk.warmth, settingAt(hardest)) === null ? rung : 0;
}

/** The limit at a voltage, as likely above as below. */
function likelyClocks(desk: NextDesk): (voltageMv: number) => number {
  const { fit, workloadId, hazard } = desk;
  const draws = limitDrawsOf(fit, resampled(fit.draws, drawsWeighed, 0.5), workloadId);
  return (voltageMv) =>
    weightedQuantilesOf(clocksAtHazard(draws, voltageMv, hazard), draws.weights, [0.5])?.[0] ?? 0;
}

function voltagesBelow({ question }: NextDesk, askedMv: number): readonly number[] {
  const { voltageStepMv } = question.chip;
  const steps = Math.floor(((1 - lowestShare) * askedMv) / voltageStepMv);
  const stride = Math.ceil(steps / mostVoltages);
  return Array.from(
    { length: Math.floor(steps / stride) },
    (_, i) => askedMv - (i + 1) * stride * voltageStepMv,
  );
}
