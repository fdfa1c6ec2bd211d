import type { Board } from "../../bench/things/board.ts";
import type { Build } from "../../bench/things/build.ts";
import type { Chip } from "../../bench/things/chip.ts";
import { type Rule, standardRuleId } from "../../bench/things/rule.ts";
import type { Workload } from "../../bench/things/workload.ts";
import { formatCount } from "../../html/format.ts";
import type { Journal } from "../../store/file/journal.ts";
import type { PartPath } from "../paths.ts";

export type Use = Readonly<{ words: string; href: string | null }>;
export type Used<Thing> = Readonly<{ thing: Thing; uses: readonly Use[] }>;

export type PartsShown = Readonly<{
  chips: readonly Used<Chip>[];
  boards: readonly Used<Board>[];
  workloads: readonly Used<Workload>[];
  rules: readonly Used<Rule>[];
  builds: readonly Build[];
}>;

type Link = (build: Build) => string;

/** Every part with what uses it. */
export function partsShown(journal: Journal, link: Link): PartsShown {
  const builds = journal.builds.all();
  const usedWith = <Thing extends { id: string }>(things: readonly Thing[], path: PartPath): Used<Thing>[] =>
    things.map((thing) => ({ thing, uses: usesOf(journal, path, thing.id, link, builds) }));
  return {
    chips: usedWith(journal.chips.all(), "chips"),
    boards: usedWith(journal.boards.all(), "boards"),
    workloads: usedWith(journal.workloads.all(), "workloads"),
    rules: usedWith(journal.rules.all(), "rules"),
    builds,
  };
}

/** What would be left hanging without the part; empty where it may go. */
export function usesOf(
  journal: Journal,
  path: PartPath,
  id: string,
  link: Link,
  builds: readonly Build[] = journal.builds.all(),
): readonly Use[] {
  const asked = { chips: "chipId", boards: "boardId", rules: "ruleId" } as const;
  if (path === "workloads") return workloadUses(journal, id);
  const named = builds
    .filter((build) => build[asked[path]] === id)
    .map((build) => ({ words: build.name, href: link(build) }));
  return path === "rules" && id === standardRuleId
    ? [{ words: "every build without a rule of its own", href: null }, ...named]
    : named;
}

function workloadUses(journal: Journal, id: string): readonly Use[] {
  const counts = [
    formatCount(journal.attempts.countWith({ workloadId: id }), "attempt"),
    formatCount(journal.noise.countUnder(id), "noise reading"),
    formatCount(
      journal.rules.all().filter(({ requires }) => requires.some((wanted) => wanted.workloadId === id))
        .length,
      "acceptance rule",
    ),
  ];
  return counts.filter((words) => !words.startsWith("no ")).map((words) => ({ words, href: null }));
}
