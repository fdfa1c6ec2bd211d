import * as z from "zod";
import type { Kept } from "./thing.ts";
import { instant, note, text } from "./units.ts";

export const versionSubjects = ["firmware", "driver"] as const;
export type VersionSubject = (typeof versionSubjects)[number];

export const versionDraft = z.strictObject({
  of: z.enum(versionSubjects, { error: `A version is of one of: ${versionSubjects.join(", ")}.` }),
  name: text(120).refine((value) => value !== "", "Say which version."),
  since: instant.nullish(),
  note: note.nullish(),
});
export type VersionDraft = z.infer<typeof versionDraft>;

/** Firmware or driver of a build from some moment on; without one, from the beginning. */
export type Version = Kept &
  Readonly<{ buildId: string; of: VersionSubject; name: string; since: string | null; note: string }>;

export const versionFrom = (draft: VersionDraft): Omit<Version, keyof Kept | "buildId"> => ({
  of: draft.of,
  name: draft.name,
  since: draft.since ?? null,
  note: draft.note ?? "",
});

/** Which firmware and driver a build ran at a moment: the latest of each that had come by then, null where none is known. */
export function versionsAt(versions: readonly Version[], at: string): Record<VersionSubject, Version | null> {
  const latest = (subject: VersionSubject): Version | null =>
    versions
      .filter(({ of, since }) => of === subject && (since === null || since <= at))
      .reduce<Version | null>((newest, one) => (isLater(one, newest) ? one : newest), null);
  return { firmware: latest("firmware"), driver: latest("driver") };
}

const isLater = (one: Version, other: Version | null): boolean =>
  other === null ||
  (one.since ?? "") > (other.since ?? "") ||
  (one.since === other.since && one.id > other.id);
