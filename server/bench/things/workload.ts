import * as z from "zod";
import type { ChipKind } from "./chip.ts";
import type { Kept } from "./thing.ts";
import { name, note, text } from "./units.ts";

export const workloadKinds = [
  "idle",
  "all-core",
  "single-core",
  "vector",
  "memory",
  "graphics",
  "mixed",
  "everyday",
  "transition",
] as const;
export type WorkloadKind = (typeof workloadKinds)[number];

export const workloadDraft = z.strictObject({
  name,
  kind: z.enum(workloadKinds, { error: `A load is one of: ${workloadKinds.join(", ")}.` }),
  severity: z.number().int("Severity is a whole number.").min(-1000).max(1000).nullish(),
  scoreUnit: text(40).nullish(),
  scoreBetter: z.enum(["higher", "lower"]).nullish(),
  note: note.nullish(),
});
export type WorkloadDraft = z.infer<typeof workloadDraft>;

/** What loads the chip. A higher severity is a heavier load, compared within one kind of chip. */
export type Workload = Kept &
  Readonly<{
    name: string;
    kind: WorkloadKind;
    severity: number | null;
    scoreUnit: string | null;
    scoreBetter: "higher" | "lower" | null;
    note: string;
  }>;

export const workloadFrom = (draft: WorkloadDraft): Omit<Workload, keyof Kept> => ({
  name: draft.name,
  kind: draft.kind,
  severity: draft.severity ?? null,
  scoreUnit: draft.scoreUnit ?? null,
  scoreBetter: draft.scoreBetter ?? null,
  note: draft.note ?? "",
});

/** Whether evidence under `other` speaks of `asked`: the same workload, or one known to be heavier. */
export const speaksOf = (other: Workload, asked: Workload): boolean =>
  other.id === asked.id ||
  (other.severity !== null && asked.severity !== null && other.severity > asked.severity);

const elsewhere: Readonly<Record<ChipKind, ReadonlySet<WorkloadKind>>> = {
  cpu: new Set(["graphics", "memory"]),
  gpu: new Set(["all-core", "single-core", "vector", "memory"]),
  memory: new Set(["graphics"]),
};

/** Whether a load is one to propose for a kind of chip; a tester may run any. */
export const suitsChip = ({ kind }: Pick<Workload, "kind">, chip: ChipKind): boolean =>
  !elsewhere[chip].has(kind);
