import { firmwareState } from "../order/groups.ts";
import type { KnobGroup } from "../order/knobs.ts";
import type { KnobFrontier, KnobsSet } from "./frontierPoint.ts";
import type { SettingsTried } from "./settingsTried.ts";

/** Null where the chip has none that belong to the setting. */
export function knobsOf({ set }: KnobGroup): KnobsSet | null {
  if (!Object.hasOwn(set, firmwareState)) return isEmpty(set) ? null : set;
  const { [firmwareState]: _state, ...knobs } = set;
  return isEmpty(knobs) ? null : knobs;
}

function isEmpty(set: KnobsSet): boolean {
  for (const _ in set) return false;
  return true;
}

/** What one way of setting the knobs did by itself. */
export function groupFrontier(group: KnobGroup, { voltagesMv, didAt }: SettingsTried): KnobFrontier {
  const points: KnobFrontier["points"][number][] = [];
  for (const voltageMv of voltagesMv) {
    const did = didAt(voltageMv, group);
    if (did !== undefined) points.push(did);
  }
  return { knobs: knobsOf(group) ?? {}, points };
}
