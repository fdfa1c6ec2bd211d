import type { NoiseDraft, NoiseReading } from "../bench/noise/noiseReading.ts";
import { invalid } from "../bench/things/refusal.ts";
import type { Kept } from "../bench/things/thing.ts";
import type { At } from "./context.ts";
import { assertVersion, found, isAsItWas, newKept, restored } from "./keeping.ts";
import { footingsOn, standOn } from "./standing.ts";

export function addNoise(buildId: string, draft: NoiseDraft, at: At): NoiseReading {
  found(at.journal.builds.find(buildId), "build");
  const kept = newKept(at);
  at.journal.noise.put(kept, fieldsFrom(buildId, draft, at));
  return found(at.journal.noise.find(kept.id), "noise reading");
}

export function editNoise(
  id: string,
  edit: Partial<NoiseDraft>,
  version: number | null,
  at: At,
): NoiseReading {
  const current = found(at.journal.noise.find(id), "noise reading");
  assertVersion(current, version, edit);
  const draft = { ...current, levelsDba: [...current.levelsDba], ...edit };
  const fields = fieldsFrom(current.buildId, draft, at);
  if (isAsItWas(current, fields)) return current;
  at.journal.noise.replace(id, fields, at.now);
  return found(at.journal.noise.find(id), "noise reading");
}

export function removeNoise(id: string, version: number | null, { journal, now }: At): void {
  assertVersion(found(journal.noise.find(id), "noise reading"), version, null);
  journal.noise.remove(id, now);
}

export const restoreNoise = (id: string, at: At): NoiseReading =>
  restored(at.journal.noise, id, "noise reading", at, (gone) => standOn(footingsOn(gone), at.journal));

function fieldsFrom(
  buildId: string,
  draft: NoiseDraft,
  { journal, now }: At,
): Omit<NoiseReading, keyof Kept> {
  if (draft.workloadId && !journal.workloads.find(draft.workloadId))
    throw invalid("There is no such load.", { workloadId: "There is no such load." });
  return {
    buildId,
    workloadId: draft.workloadId ?? null,
    clockMhz: draft.clockMhz ?? null,
    voltageMv: draft.voltageMv ?? null,
    distanceM: draft.distanceM,
    levelsDba: draft.levelsDba,
    backgroundDba: draft.backgroundDba ?? null,
    takenAt: draft.takenAt ?? now,
    note: draft.note ?? "",
  };
}
