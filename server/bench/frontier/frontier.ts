import { plainTerms } from "../order/terms.ts";
import { type LookedAt, lookedAt } from "./evidence.ts";
import { evidenceAt, noEvidence } from "./frontierEvidence.ts";
import type {
  ClockPoint,
  FrontierPoint,
  FrontierQuestion,
  KnobFrontier,
  VoltageReading,
} from "./frontierPoint.ts";
import { type FrontierWarning, warningsOf } from "./frontierWarnings.ts";
import { groupFrontier, knobsOf } from "./groupFrontier.ts";
import { type MarginState, marginOf } from "./margin.ts";
import { type SettingsTried, settingsOf } from "./settingsTried.ts";

export type Frontier = Readonly<{
  points: readonly FrontierPoint[];
  byClock: readonly ClockPoint[];
  /** Every way in which the knobs of the setting stood, where there is more than one. */
  byKnobs: readonly KnobFrontier[];
  warnings: readonly FrontierWarning[];
  leftOut: LookedAt["leftOut"];
  attempts: number;
}>;

/** The highest clock that passed at each voltage, what held of it, and what the record says of both. */
export function frontierOf(question: FrontierQuestion): Frontier {
  const { terms = plainTerms } = question;
  const { trials, order, leftOut } = lookedAt(question.rows, question.workloads, question.asked, terms);
  const { chip, requires } = question;
  const settings = settingsOf(trials, requires, { chip, order, startsDraw: terms.startsDraw });
  const readings = settings.voltagesMv.map((voltageMv) => readingAt(voltageMv, settings, question));
  const points = readings.map((reading, i) => pointOf(reading, readings.slice(0, i), settings));
  return {
    points,
    byClock: settings.clocksMhz.map((clockMhz) => clockPointOf(clockMhz, settings)),
    byKnobs: settings.groups.length < 2 ? [] : settings.groups.map((group) => groupFrontier(group, settings)),
    warnings: warningsOf(points, readings, settings, question),
    leftOut,
    attempts: trials.length,
  };
}

function readingAt(voltageMv: number, settings: SettingsTried, question: FrontierQuestion): VoltageReading {
  const held = settings.heldAt(voltageMv);
  const heldPasses = held?.passes ?? [];
  return {
    voltageMv,
    heldMhz: held?.clockMhz ?? null,
    group: held?.group ?? null,
    heldPasses,
    margin: marginOf(heldPasses, question.chip, question.hottestAmbientC),
  };
}

/** A higher voltage holds what a lower one did, unless heat may undo it. */
const trustsLowerVoltages = (margin: MarginState): boolean => margin === "ok" || margin === "unknown";

function pointOf(
  reading: VoltageReading,
  lower: readonly VoltageReading[],
  settings: SettingsTried,
): FrontierPoint {
  const { voltageMv, heldMhz, group, margin } = reading;
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
      heldMhz === null || group === null
        ? noEvidence
        : evidenceAt({ voltageMv, clockMhz: heldMhz, group }, settings, trusted),
    loadTempC: margin.loadTempC,
    marginC: margin.marginC,
    margin: margin.margin,
    contested: settings.contestedAt(voltageMv).map((trial) => trial.row.id),
    knobs: group === null ? null : knobsOf(group),
  };
}

const highest = (clocks: readonly (number | null)[]): number | null =>
  clocks.reduce<number | null>(
    (best, clock) => (clock !== null && (best === null || clock > best) ? clock : best),
    null,
  );

function clockPointOf(clockMhz: number, settings: SettingsTried): ClockPoint {
  const ascending = settings.voltagesMv;
  const held = ascending.find((voltageMv) => settings.holds(voltageMv, clockMhz));
  const passed = ascending.find((voltageMv) => settings.passedAt(voltageMv, clockMhz));
  const crashed = ascending.findLast((voltageMv) => settings.crashedAt(voltageMv, clockMhz));
  return {
    clockMhz,
    heldMv: held ?? null,
    lowestPassedMv: passed ?? null,
    highestCrashMv: crashed ?? null,
  };
}
