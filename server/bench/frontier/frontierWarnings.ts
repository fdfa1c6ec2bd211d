import { clockWords, type UnitOfClock, volts } from "../things/words.ts";
import type { FrontierPoint, FrontierQuestion, VoltageReading } from "./frontierPoint.ts";
import { wholeDegrees } from "./margin.ts";
import type { SettingsTried } from "./settingsTried.ts";

/** Something the reader of a frontier should know before relying on it, with the attempts it speaks of. */
export type FrontierWarning = Readonly<{
  about:
    | "contested"
    | "over-limit"
    | "tight"
    | "no-ambient"
    | "not-levelled"
    | "lighter-load"
    | "throttled"
    | "corrected-errors"
    | "heat-excused";
  voltageMv: number;
  message: string;
  attempts: readonly string[];
  /** What would settle it, in a sentence, with the clock to run at this voltage. */
  settledBy?: Readonly<{ clockMhz: number; words: string }>;
}>;

export function warningsOf(
  points: readonly FrontierPoint[],
  readings: readonly VoltageReading[],
  settings: SettingsTried,
  question: FrontierQuestion,
): FrontierWarning[] {
  return points.flatMap((point, i) => {
    const reading = readings[i];
    return reading === undefined
      ? []
      : [
          ...contestedWarning(point, settings, question.chip.clockUnit),
          ...excusedWarning(point, settings),
          ...marginWarning(point, reading, question),
          ...readingWarnings(reading, question),
          ...runWarnings(point, settings),
        ];
  });
}

function contestedWarning(
  point: FrontierPoint,
  settings: SettingsTried,
  unit: UnitOfClock,
): FrontierWarning[] {
  if (point.contested.length === 0) return [];
  const contested = settings.contestedAt(point.voltageMv);
  const clocks = [...new Set(contested.map((trial) => trial.clockMhz as number))].sort((a, b) => a - b);
  const passes = contested.length === 1 ? "A pass" : `${contested.length} passes`;
  return [
    {
      about: "contested",
      voltageMv: point.voltageMv,
      message: `${passes} at ${clocks.map((clock) => clockWords(clock, unit)).join(", ")} and ${volts(point.voltageMv)} ${contested.length === 1 ? "is" : "are"} contested: a crash is recorded at that or an easier setting.`,
      attempts: point.contested,
      ...(clocks[0] !== undefined && { settledBy: settledBy(clocks[0], point.voltageMv, unit) }),
    },
  ];
}

const settledBy = (clockMhz: number, voltageMv: number, unit: UnitOfClock) => ({
  clockMhz,
  words: `Run ${clockWords(clockMhz, unit)} at ${volts(voltageMv)} once more, as long as the rule asks: a crash settles it; after a pass look at the crash, and set it aside if something else brought it down.`,
});

function excusedWarning(point: FrontierPoint, settings: SettingsTried): FrontierWarning[] {
  const excused = settings.excusedByHeat.filter((trial) => trial.voltageMv === point.voltageMv);
  if (excused.length === 0 || point.voltageMv === settings.voltagesMv[0]) return [];
  return [
    {
      about: "heat-excused",
      voltageMv: point.voltageMv,
      message: `At ${volts(point.voltageMv)} the chip ran near its temperature limit, so its crashes are not held against lower voltages.`,
      attempts: excused.map((trial) => trial.row.id),
    },
  ];
}

function marginWarning(
  point: FrontierPoint,
  reading: VoltageReading,
  question: FrontierQuestion,
): FrontierWarning[] {
  if (point.margin !== "tight" && point.margin !== "over") return [];
  const degrees = wholeDegrees(point.marginC ?? 0);
  const room = `in a ${question.hottestAmbientC} °C room`;
  const message =
    point.margin === "over"
      ? `At ${volts(point.voltageMv)} the held setting would pass the temperature limit by ${degrees} °C ${room}.`
      : `At ${volts(point.voltageMv)} the held setting leaves ${degrees} °C to the temperature limit ${room}.`;
  return [
    {
      about: point.margin === "over" ? "over-limit" : "tight",
      voltageMv: point.voltageMv,
      message,
      attempts: reading.heldPasses.map((pass) => pass.id),
    },
  ];
}

function readingWarnings(reading: VoltageReading, question: FrontierQuestion): FrontierWarning[] {
  const { margin, voltageMv, heldPasses } = reading;
  if (margin.loadTempC === null) return [];
  const attempts = heldPasses.map((pass) => pass.id);
  const warnings: FrontierWarning[] = [];
  if (margin.withoutAmbient)
    warnings.push({
      about: "no-ambient",
      voltageMv,
      message: `No room temperature was read with the passes held at ${volts(voltageMv)}, so the margin is not corrected for the room.`,
      attempts,
    });
  if (margin.tooShort)
    warnings.push({
      about: "not-levelled",
      voltageMv,
      message:
        question.chip.kind === "memory"
          ? `The passes held at ${volts(voltageMv)} ran under twenty minutes; memory modules take 20 to 40 minutes to level.`
          : `The passes held at ${volts(voltageMv)} ran under ten minutes; the temperature may not have levelled out.`,
      attempts,
    });
  const heaviest = heaviestRequired(question);
  if (heaviest && heldPasses.every((pass) => pass.workloadId !== heaviest.id || pass.loadTempC === null))
    warnings.push({
      about: "lighter-load",
      voltageMv,
      message: `No temperature was read under ${heaviest.name}, the heaviest load of the rule, at the setting held at ${volts(voltageMv)}.`,
      attempts,
    });
  return warnings;
}

function heaviestRequired({ requires, workloads }: FrontierQuestion) {
  const named = requires.flatMap(({ workloadId }) => {
    const workload = workloadId === null ? undefined : workloads.get(workloadId);
    return workload ? [workload] : [];
  });
  return named
    .filter((workload) => workload.severity !== null)
    .sort((a, b) => (b.severity as number) - (a.severity as number))
    .at(0);
}

function runWarnings(point: FrontierPoint, settings: SettingsTried): FrontierWarning[] {
  const passes = settings.trials.filter(
    (trial) => trial.voltageMv === point.voltageMv && trial.class === "pass",
  );
  const slowed = passes.filter((trial) => trial.clockMhz !== trial.row.clockMhz);
  const corrected = passes.filter((trial) => (trial.row.correctedErrors ?? 0) > 0);
  const warnings: FrontierWarning[] = [];
  if (slowed.length > 0)
    warnings.push({
      about: "throttled",
      voltageMv: point.voltageMv,
      message: `${slowed.length === 1 ? "A pass" : `${slowed.length} passes`} at ${volts(point.voltageMv)} did not run at the clock that was set; only the effective clock counts.`,
      attempts: slowed.map((trial) => trial.row.id),
    });
  if (corrected.length > 0)
    warnings.push({
      about: "corrected-errors",
      voltageMv: point.voltageMv,
      message: `${corrected.length === 1 ? "A pass" : `${corrected.length} passes`} at ${volts(point.voltageMv)} had errors corrected by the hardware: a sign of a setting near its edge.`,
      attempts: corrected.map((trial) => trial.row.id),
    });
  return warnings;
}
