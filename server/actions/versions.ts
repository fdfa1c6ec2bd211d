import { type Version, type VersionDraft, versionFrom, versionsAt } from "../bench/things/version.ts";
import type { At } from "./context.ts";
import { assertVersion, found, newKept, restored } from "./keeping.ts";
import { footingsOn, standOn } from "./standing.ts";

/** Firmware or driver of a build from a moment on; without one, from now. */
export function addVersion(buildId: string, draft: VersionDraft, at: At): Version {
  const { journal, now } = at;
  found(journal.builds.find(buildId), "build");
  const kept = newKept(at);
  journal.versions.put(kept, { ...versionFrom({ ...draft, since: draft.since ?? now }), buildId });
  journal.builds.noteHanging(buildId, "version", now);
  return found(journal.versions.find(kept.id), "version");
}

export function editVersion(
  id: string,
  edit: Partial<VersionDraft>,
  version: number | null,
  { journal, now }: At,
): Version {
  const current = found(journal.versions.find(id), "version");
  assertVersion(current, version, edit);
  journal.versions.replace(id, { ...versionFrom({ ...current, ...edit }), buildId: current.buildId }, now);
  return found(journal.versions.find(id), "version");
}

export function removeVersion(id: string, version: number | null, { journal, now }: At): void {
  assertVersion(found(journal.versions.find(id), "version"), version, null);
  journal.versions.remove(id, now);
}

export const restoreVersion = (id: string, at: At): Version =>
  restored(at.journal.versions, id, "version", at, (gone) => standOn(footingsOn(gone), at.journal));

export type VersionsNow = Readonly<{ firmwareVersion: string | null; driverVersion: string | null }>;

/** What a build runs at a moment. */
export function versionsNow(buildId: string, { journal, now }: At): VersionsNow {
  const { firmware, driver } = versionsAt(journal.versions.allOf(buildId), now);
  return { firmwareVersion: firmware?.name ?? null, driverVersion: driver?.name ?? null };
}

/** Another version than the one that runs begins now; the same one changes nothing. */
export function noteVersions(
  buildId: string,
  said: Readonly<Partial<Record<keyof VersionsNow, string | null | undefined>>>,
  at: At,
): void {
  const running = versionsNow(buildId, at);
  for (const [field, of] of [
    ["firmwareVersion", "firmware"],
    ["driverVersion", "driver"],
  ] as const) {
    const name = said[field];
    if (name != null && name !== "" && name !== running[field]) addVersion(buildId, { of, name }, at);
  }
}
