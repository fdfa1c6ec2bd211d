import { type BoardDraft, boardFrom } from "../bench/things/board.ts";
import { type ChipDraft, chipFrom } from "../bench/things/chip.ts";
import { conflict, invalid } from "../bench/things/refusal.ts";
import {
  type RuleDraft,
  ruleFrom,
  standardRule,
  standardRuleId,
  standardRuleSince,
} from "../bench/things/rule.ts";
import type { Kept } from "../bench/things/thing.ts";
import { type WorkloadDraft, workloadFrom } from "../bench/things/workload.ts";
import type { Journal } from "../store/file/journal.ts";
import type { At } from "./context.ts";
import { assertVersion, found, isAsItWas, type KeepingStore, newKept, restored } from "./keeping.ts";
import { footingsOfRule, standOn } from "./standing.ts";

/** What can be done to the things that stand by themselves: chips, boards, workloads and rules. */
export type PartActions<Thing extends Kept, Draft> = Readonly<{
  add(draft: Draft, at: At): Thing;
  edit(id: string, edit: Partial<Draft>, version: number | null, at: At): Thing;
  remove(id: string, version: number | null, at: At): void;
  restore(id: string, at: At): Thing;
}>;

type PartKind<Thing extends Kept, Draft, Fields> = Readonly<{
  what: string;
  store(journal: Journal): KeepingStore<Thing, Fields>;
  from(draft: Draft): Fields;
  /** Throws where the draft names something that is not there. */
  check?(draft: Draft, at: At): void;
  /** Brings back what the thing cannot do without, before it comes back itself. */
  standOn?(gone: Thing, journal: Journal): void;
  /** A sentence on what still needs the thing, or null. */
  inUse(id: string, journal: Journal): string | null;
}>;

function partActions<Thing extends Kept, Draft, Fields>(
  kind: PartKind<Thing, Draft, Fields>,
): PartActions<Thing, Draft> {
  return {
    add(draft, at) {
      kind.check?.(draft, at);
      const kept = newKept(at);
      const store = kind.store(at.journal);
      store.put(kept, kind.from(draft));
      return found(store.find(kept.id), kind.what);
    },
    edit(id, edit, version, at) {
      const store = kind.store(at.journal);
      const current = found(store.find(id), kind.what);
      assertVersion(current, version, edit);
      const draft = { ...current, ...edit } as unknown as Draft;
      kind.check?.(draft, at);
      const fields = kind.from(draft);
      if (isAsItWas(current, fields as Partial<Thing>)) return current;
      store.replace(id, fields, at.now);
      return found(store.find(id), kind.what);
    },
    remove(id, version, at) {
      const store = kind.store(at.journal);
      assertVersion(found(store.find(id), kind.what), version, null);
      const use = kind.inUse(id, at.journal);
      if (use !== null) throw conflict(use);
      store.remove(id, at.now);
    },
    restore: (id, at) =>
      restored(kind.store(at.journal), id, kind.what, at, (gone) => kind.standOn?.(gone, at.journal)),
  };
}

const times = (n: number, one: string): string => `${n} ${one}${n === 1 ? "" : "s"}`;
const usedBy = (what: string, n: number, by: string): string | null =>
  n === 0 ? null : `This ${what} is used by ${times(n, by)}; delete ${n === 1 ? "that" : "those"} first.`;

export const chipActions = partActions({
  what: "chip",
  store: (journal: Journal) => journal.chips,
  from: (draft: ChipDraft) => chipFrom(draft),
  check: (draft) => {
    if (draft.axis !== "offset" || draft.offset != null) return;
    const words = "Say what the offset is: its unit, its step and which way is harder.";
    throw invalid(words, { offset: words });
  },
  inUse: (id, journal) => usedBy("chip", journal.builds.countUsing({ chipId: id }), "build"),
});

export const boardActions = partActions({
  what: "board",
  store: (journal: Journal) => journal.boards,
  from: (draft: BoardDraft) => boardFrom(draft),
  inUse: (id, journal) => usedBy("board", journal.builds.countUsing({ boardId: id }), "build"),
});

export const workloadActions = partActions({
  what: "load",
  store: (journal: Journal) => journal.workloads,
  from: (draft: WorkloadDraft) => workloadFrom(draft),
  inUse: (id, journal) =>
    usedBy("load", journal.attempts.countUnder(id), "attempt") ??
    usedBy("load", journal.noise.countUnder(id), "noise reading") ??
    usedBy(
      "load",
      journal.rules.all().filter((rule) => rule.requires.some((wanted) => wanted.workloadId === id)).length,
      "acceptance rule",
    ),
});

export const ruleActions = partActions({
  what: "acceptance rule",
  store: (journal: Journal) => journal.rules,
  from: (draft: RuleDraft) => ruleFrom(draft),
  check: (draft, { journal }) => {
    draft.requires.forEach(({ workloadId }, i) => {
      const workload = workloadId == null ? null : journal.workloads.find(workloadId);
      if (workload === undefined)
        throw invalid("The rule names a load that is not in the journal.", {
          [`requires.${i}.workloadId`]: "There is no such load.",
        });
      if (workload?.kind === "idle")
        throw invalid("An idle run proves nothing; require a load.", {
          [`requires.${i}.workloadId`]: "This load is an idle one.",
        });
    });
  },
  standOn: (gone, journal) => standOn(footingsOfRule(gone), journal),
  inUse: (id, journal) =>
    id === standardRuleId
      ? "This rule always exists."
      : usedBy("acceptance rule", journal.builds.countUsing({ ruleId: id }), "build"),
});

/** Puts in the rule that always exists, where a new journal lacks it; else nothing is written. */
export function ensureStandardRule({ journal }: Pick<At, "journal">): void {
  if (journal.rules.find(standardRuleId)) return;
  const [createdAt, updatedAt] = [standardRuleSince, standardRuleSince];
  journal.writeNow(() =>
    journal.rules.put({ id: standardRuleId, createdAt, updatedAt, version: 1 }, standardRule),
  );
}
