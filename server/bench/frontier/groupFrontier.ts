import { firmwareState } from "../order/groups.ts";
import type { KnobGroup } from "../order/knobs.ts";
import type { KnobFrontier, KnobsSet } from "./frontierPoint.ts";
import type { SettingsTried } from "./settingsTried.ts";

/** Null where the chip has none that belong to the setting. */
export function knobsOf({ set }: KnobGroup): KnobsSet | null {
  const { [firmwareState]: _state, ...knobs } = set;
  return Object.keys(knobs).length === 0 ? null : knobs;
}

/** What one way of setting the knobs did by itself. */
export const groupFrontier = (group: KnobGroup, settings: SettingsTried): KnobFrontier => ({
  knobs: knobsOf(group) ?? {},
  points: settings.voltagesMv.flatMap((voltageMv) =>
    settings.isTried(voltageMv, group)
      ? {
          voltageMv,
          highestPassedMhz: settings.highestPassedMhz(voltageMv, group),
          heldMhz: settings.heldAt(voltageMv, group)?.clockMhz ?? null,
          lowestCrashMhz: settings.lowestCrashMhz(voltageMv, group),
        }
      : [],
  ),
});
