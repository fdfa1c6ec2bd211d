import type { KnobGroup } from "../order/knobs.ts";
import type { AnyTrial } from "./evidence.ts";
import { mtbfLowerS, type SurviveHours, surviveHours, surviveNothing } from "./exposureBound.ts";
import type { SettingsTried } from "./settingsTried.ts";

/** What stands behind a held setting: time survived at it or a harder one. All null where nothing is held. */
export type Evidence = Readonly<{
  passes: number | null;
  crashes: number | null;
  exposureS: number | null;
  mtbfLowerS: number | null;
  surviveHours: SurviveHours;
}>;

export const noEvidence: Evidence = {
  passes: null,
  crashes: null,
  exposureS: null,
  mtbfLowerS: null,
  surviveHours: surviveNothing,
};

type Setting = Readonly<{ voltageMv: number; clockMhz: number; group: KnobGroup }>;

/**
 * Counts the clean time at this setting and at harder ones below the lowest clock that crashed at this voltage or a
 * lower one: time before the crashes of harder settings would make the bound a promise it does not keep. Time at the
 * setting itself always counts. Lower voltages are asked only where heat cannot have made this one the harder.
 */
export function evidenceAt(
  held: Setting,
  { trials, order, groups }: Pick<SettingsTried, "trials" | "order" | "groups">,
  trustsLower: boolean,
): Evidence {
  const asHard: boolean[] = [];
  for (const group of groups) asHard[group.index] = order.isAsHard(group, held.group);
  const harder = trials.filter(
    (trial) =>
      trial.clockMhz !== null &&
      trial.clockMhz >= held.clockMhz &&
      trial.voltageMv <= held.voltageMv &&
      asHard[trial.group.index] === true,
  );
  const crashed = harder.filter((trial) => trial.class === "crash");
  const firstCrashMhz = Math.min(...crashed.map((trial) => trial.clockMhz as number));
  const clean = harder.filter(
    (trial) =>
      (trial.class === "pass" || trial.class === "stopped") &&
      (trustsLower || trial.voltageMv === held.voltageMv) &&
      (isAt(trial, held) || (trial.clockMhz as number) < firstCrashMhz),
  );
  const exposureS = clean.reduce((sum, trial) => sum + trial.row.durationS, 0);
  return {
    passes: clean.filter((trial) => trial.class === "pass").length,
    crashes: crashed.length,
    exposureS,
    mtbfLowerS: mtbfLowerS(exposureS, 0),
    surviveHours: surviveHours(exposureS),
  };
}

const isAt = (trial: AnyTrial, setting: Setting): boolean =>
  trial.voltageMv === setting.voltageMv &&
  trial.clockMhz === setting.clockMhz &&
  trial.group === setting.group;
