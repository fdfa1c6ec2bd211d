import { formatMoment } from "../../html/format.ts";
import type { Journal } from "../../store/file/journal.ts";
import { unitsOfBuild } from "../kit/clockUnit.ts";
import { settingWords } from "../kit/settingWords.tsx";

/** A deleted thing that can still come back. */
export type Returnable = Readonly<{
  thing: string;
  id: string;
  what: string;
  name: string;
  deletedAt: string;
}>;

const dayMs = 86_400_000;
const most = 50;

/** What was deleted within the day, the latest first. */
export function returnableThings(journal: Journal, now: string): readonly Returnable[] {
  const named = (
    thing: string,
    what: string,
    gone: readonly { id: string; name: string; deletedAt: string }[],
  ) => gone.map(({ id, name, deletedAt }) => ({ thing, what, id, name, deletedAt }));
  const all: Returnable[] = [
    ...named("chips", "chip", journal.chips.removed()),
    ...named("boards", "board", journal.boards.removed()),
    ...named("workloads", "load", journal.workloads.removed()),
    ...named("rules", "acceptance rule", journal.rules.removed()),
    ...named("builds", "build", journal.builds.removed()),
    ...named("mounts", "mount", journal.mounts.removed().map(mountNamed)),
    ...named("versions", "version", journal.versions.removed().map(versionNamed)),
    ...named("noise", "noise reading", journal.noise.removed().map(noiseNamed)),
    ...named(
      "attempts",
      "attempt",
      journal.attempts.removed(most).map((attempt) => attemptNamed(attempt, journal)),
    ),
  ];
  return all
    .filter(({ deletedAt }) => Date.parse(now) - Date.parse(deletedAt) <= dayMs)
    .sort((a, b) => Date.parse(b.deletedAt) - Date.parse(a.deletedAt))
    .slice(0, most);
}

type Mount = ReturnType<Journal["mounts"]["removed"]>[number];
const mountNamed = ({ id, deletedAt, mountedAt }: Mount) => ({
  id,
  deletedAt,
  name: mountedAt === null ? "with the build" : `of ${formatMoment(mountedAt, "moment")} UTC`,
});

type Version = ReturnType<Journal["versions"]["removed"]>[number];
const versionNamed = ({ id, deletedAt, of, name }: Version) => ({ id, deletedAt, name: `${of} ${name}` });

type Noise = ReturnType<Journal["noise"]["removed"]>[number];
const noiseNamed = ({ id, deletedAt, takenAt }: Noise) => ({
  id,
  deletedAt,
  name: `of ${formatMoment(takenAt, "moment")} UTC`,
});

type Attempt = ReturnType<Journal["attempts"]["removed"]>[number];
const attemptNamed = (attempt: Attempt, journal: Journal) => ({
  id: attempt.id,
  deletedAt: attempt.deletedAt,
  name: settingWords(attempt, unitsOfBuild(journal, attempt.buildId)),
});
