import { mean } from "../../numerics/moments.ts";
import type { ComparedRun } from "../runs/comparedRun.ts";
import { isSameSpeed } from "./equalNoise.ts";
import { type ByMount, byMount, type MeasureRead } from "./scatter.ts";

/**
 * What each mount read over the fan speeds that all of them ran, one figure a mount: a mount is warmer or cooler at every
 * speed alike, so its speeds are no repeats of one another. Empty under two mounts.
 */
export function sweptMountMeans(runs: readonly ComparedRun[], reading: MeasureRead): number[] {
  const speeds = bySpeed(runs)
    .map((of) => byMount(of, reading))
    .filter((mounts) => mounts.size >= 2)
    .sort((first, second) => second.size - first.size);
  const [widest] = speeds;
  if (widest === undefined) return [];
  const shared = speeds.filter((mounts) => [...widest.keys()].every((mount) => mounts.has(mount)));
  return [...widest.keys()].map((mount) => mean(shared.map((mounts) => meanAt(mounts, mount)))!);
}

const meanAt = (mounts: ByMount, mount: string): number => mean(mounts.get(mount)!)!;

function bySpeed(runs: readonly ComparedRun[]): ComparedRun[][] {
  const groups: ComparedRun[][] = [];
  for (const run of runs) {
    if (run.fanRpm === null) continue;
    const group = groups.find(([first]) => isSameSpeed(first!.fanRpm!, run.fanRpm!));
    if (group === undefined) groups.push([run]);
    else group.push(run);
  }
  return groups;
}
