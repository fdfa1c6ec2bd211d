import type { Build } from "../../bench/things/build.ts";
import type { MarkShape, Tone } from "../../html/plot.ts";

/** How a build is drawn where others stand beside it: told apart by shape as well as hue. */
export type Look = Readonly<{ tone: Tone; shape: MarkShape }>;

export const looks: readonly Look[] = [
  { tone: "lead", shape: "dot" },
  { tone: "second", shape: "square" },
  { tone: "third", shape: "triangle" },
  { tone: "ink", shape: "ring" },
  { tone: "fourth", shape: "half" },
];

/** For a build that nobody knows of any more. */
export const someLook = looks[0] as Look;

type Known = Pick<Build, "id" | "chipId" | "createdAt">;

/** A build's own look: by which of its chip's builds it is, the oldest first, so that it stays as others come. */
export function lookOf(builds: readonly Known[], id: string): Look {
  const chipId = builds.find((build) => build.id === id)?.chipId;
  const ofChip = builds
    .filter((build) => build.chipId === chipId)
    .sort((a, b) =>
      a.createdAt === b.createdAt ? (a.id < b.id ? -1 : 1) : a.createdAt < b.createdAt ? -1 : 1,
    );
  const place = Math.max(
    0,
    ofChip.findIndex((build) => build.id === id),
  );
  return looks[place % looks.length] as Look;
}

/** The looks of builds drawn in one chart, each its own; where two have the same, the later takes one that is free. */
export function looksApart(builds: readonly Known[], ids: readonly string[]): readonly Look[] {
  const own = ids.map((id) => lookOf(builds, id));
  const taken = new Set<Look>(own);
  const given = new Set<Look>();
  return own.map((look) => {
    const free = given.has(look) ? looks.find((other) => !taken.has(other) && !given.has(other)) : undefined;
    const mine = free ?? look;
    given.add(mine);
    return mine;
  });
}

/** How runs are drawn over one another: in the hue of their build, a second of the same build dashed, more in what is free. */
export function linesOfRuns(
  builds: readonly Known[],
  buildIds: readonly string[],
): readonly Readonly<{ tone: Tone; dashed: boolean }>[] {
  const different = [...new Set(buildIds)];
  const ofBuild = new Map(looksApart(builds, different).map((look, i) => [different[i], look.tone]));
  const free = looks.map(({ tone }) => tone).filter((tone) => ![...ofBuild.values()].includes(tone));
  const seen = new Map<string, number>();
  return buildIds.map((id, i) => {
    const earlier = seen.get(id) ?? 0;
    seen.set(id, earlier + 1);
    const own = ofBuild.get(id) ?? "lead";
    return { tone: earlier < 2 ? own : (free.shift() ?? own), dashed: earlier === 1 || i >= looks.length };
  });
}
