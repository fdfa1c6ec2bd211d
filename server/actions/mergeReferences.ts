import { invalid } from "../bench/things/refusal.ts";
import type { StagedDocument } from "../store/file/stagedDocument.ts";
import type { At } from "./context.ts";

const kinds = ["chips", "boards", "workloads", "rules", "builds", "mounts", "attempts"] as const;
type Kind = (typeof kinds)[number];

/** Something that a document names, and in what words. */
export type Reference = Readonly<{ kind: Kind; id: string; words: string }>;

/** What a document names and does not hold. It says nothing of the journal, so it can be found before its turn comes. */
export function referencesOutside(document: StagedDocument): Reference[] {
  const held = new Map(kinds.map((kind) => [kind, document.ids(kind)]));
  const outside = new Map<string, Reference>();
  for (const one of references(document))
    if (one.id != null && !held.get(one.kind)?.has(one.id))
      outside.set(`${one.kind} ${one.id}`, one as Reference);
  return [...outside.values()];
}

/** Everything named is in the document or in the journal, be it deleted there; else nothing is taken. */
export function assertHere(outside: readonly Reference[], { journal }: At): void {
  for (const { kind, id, words } of outside)
    if (!journal[kind].holds(id))
      throw invalid(
        `The export is incomplete: ${words} that is neither in it nor here. Nothing was changed.`,
      );
}

type Named = Readonly<{ kind: Kind; id: string | null | undefined; words: string }>;

function* references(document: StagedDocument): Generator<Named> {
  for (const { name, requires } of document.things("rules"))
    for (const { workloadId: id } of requires)
      yield { kind: "workloads", id, words: `the rule "${name}" names a load` };
  for (const { name, chipId, boardId, ruleId, basedOn } of document.things("builds")) {
    yield { kind: "chips", id: chipId, words: `the build "${name}" names a chip` };
    yield { kind: "boards", id: boardId, words: `the build "${name}" names a board` };
    yield { kind: "rules", id: ruleId, words: `the build "${name}" names a rule` };
    yield { kind: "builds", id: basedOn, words: `the build "${name}" is based on a build` };
  }
  for (const { buildId } of document.things("mounts")) yield belongs(buildId);
  for (const { buildId } of document.things("versions")) yield belongs(buildId);
  for (const { buildId, workloadId } of document.things("noise")) {
    yield belongs(buildId);
    yield loadedBy(workloadId);
  }
  for (const { buildId, workloadId, mountId } of document.things("attempts")) {
    yield belongs(buildId);
    yield loadedBy(workloadId);
    yield { kind: "mounts", id: mountId, words: "an attempt names a mount" };
  }
  for (const { attemptId } of document.things("traces"))
    yield { kind: "attempts", id: attemptId, words: "a trace belongs to an attempt" };
  for (const { attemptId } of document.things("outputs"))
    yield { kind: "attempts", id: attemptId, words: "an output belongs to an attempt" };
  const words = "a picture is of a build, mount or attempt";
  for (const { buildId, mountId, attemptId } of document.things("pictures")) {
    yield { kind: "builds", id: buildId, words };
    yield { kind: "mounts", id: mountId, words };
    yield { kind: "attempts", id: attemptId, words };
  }
}

const belongs = (id: string): Named => ({
  kind: "builds",
  id,
  words: "a mount, noise reading or attempt belongs to a build",
});

const loadedBy = (id: string | null | undefined): Named => ({
  kind: "workloads",
  id,
  words: "an attempt or noise reading names a load",
});
