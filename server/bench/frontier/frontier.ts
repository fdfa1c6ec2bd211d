import { type LookedAt, lookedAt, type Trial } from "./evidence.ts";
import { evidenceAt, noEvidence } from "./frontierEvidence.ts";
import type { ClockPoint, FrontierPoint, FrontierQuestion, VoltageReading } from "./frontierPoint.ts";
import { type FrontierWarning, warningsOf } from "./frontierWarnings.ts";
import { type MarginState, marginOf } from "./margin.ts";
import { type Settings, settingsOf } from "./settingsTried.ts";

export type Frontier = Readonly<{
  points: readonly FrontierPoint[];
  byClock: readonly ClockPoint[];
  warnings: readonly FrontierWarning[];
  leftOut: LookedAt["leftOut"];
  attempts: number;
}>;

/** The highest clock that passed at each voltage, what held of it, and what the record says of both. */
export function frontierOf(question: FrontierQuestion): Frontier {
  const { trials, leftOut } = lookedAt(question.rows, question.workloads, question.asked);
  const settings = settingsOf(trials, question.chip, question.requires);
  const readings = settings.voltagesMv.map((voltageMv) => readingAt(voltageMv, settings, question));
  const points = readings.map((reading, i) => pointOf(reading, readings.slice(0, i), settings));
  return {
    points,
    byClock: settings.clocksMhz.map((clockMhz) => clockPointOf(clockMhz, settings)),
    warnings: warningsOf(points, readings, settings, question),
    leftOut,
    attempts: trials.length,
  };
}

function readingAt(voltageMv: number, settings: Settings, question: FrontierQuestion): VoltageReading {
  const heldMhz = settings.heldMhz(voltageMv);
  const heldPasses = heldMhz === null ? [] : settings.passesAt(voltageMv, heldMhz);
  return {
    voltageMv,
    heldMhz,
    heldPasses,
    margin: marginOf(heldPasses, question.chip, question.hottestAmbientC),
  };
}

/** A higher voltage holds what a lower one did, unless heat may undo it. */
export const trustsLowerVoltages = (margin: MarginState): boolean => margin === "ok" || margin === "unknown";

function pointOf(
  reading: VoltageReading,
  lower: readonly VoltageReading[],
  settings: Settings,
): FrontierPoint {
  const { voltageMv, heldMhz, margin } = reading;
  const trusted = trustsLowerVoltages(margin.margin);
  const implying = trusted ? [...lower, reading] : [reading];
  const lowestCrashMhz = settings.lowestCrashMhz(voltageMv);
  return {
    voltageMv,
    highestPassedMhz: settings.highestPassedMhz(voltageMv),
    heldMhz,
    impliedMhz: highest(implying.map((one) => one.heldMhz)),
    lowestCrashMhz,
    gapMhz: heldMhz === null || lowestCrashMhz === null ? null : lowestCrashMhz - heldMhz,
    evidence:
      heldMhz === null ? noEvidence : evidenceAt({ voltageMv, clockMhz: heldMhz }, settings.trials, trusted),
    loadTempC: margin.loadTempC,
    marginC: margin.marginC,
    margin: margin.margin,
    contested: settings.contestedAt(voltageMv).map((trial: Trial) => trial.row.id),
  };
}

const highest = (clocks: readonly (number | null)[]): number | null =>
  clocks.reduce<number | null>(
    (best, clock) => (clock !== null && (best === null || clock > best) ? clock : best),
    null,
  );

function clockPointOf(clockMhz: number, settings: Settings): ClockPoint {
  const ascending = settings.voltagesMv;
  const held = ascending.find((voltageMv) => settings.holds(voltageMv, clockMhz));
  const passed = ascending.find((voltageMv) => settings.passesAt(voltageMv, clockMhz).length > 0);
  const crashed = ascending.findLast((voltageMv) => settings.crashedAt(voltageMv, clockMhz));
  return {
    clockMhz,
    heldMv: held ?? null,
    lowestPassedMv: passed ?? null,
    highestCrashMv: crashed ?? null,
  };
}
