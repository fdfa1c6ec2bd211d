import type { Build } from "../bench/things/build.ts";
import { conflict } from "../bench/things/refusal.ts";
import type { Rule } from "../bench/things/rule.ts";
import type { Journal } from "../store/file/journal.ts";

/** The lists whose things others stand on. */
const lists = {
  chip: "chips",
  board: "boards",
  workload: "workloads",
  "acceptance rule": "rules",
  build: "builds",
  mount: "mounts",
  attempt: "attempts",
} as const;

type Footing = readonly [what: keyof typeof lists, id: string | null];

/** Sees to it that each of these is in the journal, bringing back what was deleted: a thing that comes back brings what it stands on. */
export function standOn(footings: readonly Footing[], journal: Journal): void {
  for (const [what, id] of footings) if (id !== null) standOnOne(what, id, journal);
}

function standOnOne(what: keyof typeof lists, id: string, journal: Journal): void {
  const store = journal[lists[what]];
  if (store.find(id)) return;
  const gone = store.findDeleted(id);
  if (!gone) throw conflict(`The ${what} this stands on is gone for good, so it cannot be brought back.`);
  store.restore(id);
  standOn(footingsOf(what, gone), journal);
}

/** What a thing that was deleted stands on in its turn. */
function footingsOf(what: keyof typeof lists, gone: object): readonly Footing[] {
  if (what === "build") return footingsOfBuild(gone as Build);
  if (what === "acceptance rule") return footingsOfRule(gone as Rule);
  return "buildId" in gone ? footingsOn(gone as OnBuild) : [];
}

export const footingsOfBuild = ({ chipId, boardId, ruleId, basedOn }: Build): readonly Footing[] => [
  ["chip", chipId],
  ["board", boardId],
  ["acceptance rule", ruleId],
  ["build", basedOn],
];

export const footingsOfRule = ({ requires }: Rule): readonly Footing[] =>
  requires.map(({ workloadId }) => ["workload", workloadId ?? null]);

type OnBuild = Readonly<{
  buildId: string;
  mountId?: string | null;
  workloadId?: string | null;
  attemptId?: string | null;
}>;

/** Of what belongs to a build: an attempt, a mount, a noise reading, a picture. */
export const footingsOn = ({ buildId, mountId, workloadId, attemptId }: OnBuild): readonly Footing[] => [
  ["build", buildId],
  ["mount", mountId ?? null],
  ["workload", workloadId ?? null],
  ["attempt", attemptId ?? null],
];
