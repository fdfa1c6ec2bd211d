import { modelKey, samplesOfChip } from "../../answers/samplesOfChip.ts";
import type { Board } from "../../bench/things/board.ts";
import type { Build } from "../../bench/things/build.ts";
import type { Chip } from "../../bench/things/chip.ts";
import { type Rule, standardRuleId } from "../../bench/things/rule.ts";
import type { Workload } from "../../bench/things/workload.ts";
import { formatCount } from "../../html/format.ts";
import type { Journal } from "../../store/file/journal.ts";
import type { PageContext } from "../kit/context.ts";
import type { PartPath } from "../paths.ts";
import type { ModelShown } from "./samples.tsx";

export type PartUse = Readonly<{ words: string; href: string | null }>;
export type Used<Thing> = Readonly<{ thing: Thing; uses: readonly PartUse[] }>;

export type PartsShown = Readonly<{
  chips: readonly Used<Chip>[];
  boards: readonly Used<Board>[];
  workloads: readonly Used<Workload>[];
  rules: readonly Used<Rule>[];
  builds: readonly Build[];
  /** Models with two samples or more, ranked. */
  models: readonly ModelShown[];
}>;

type Link = (build: Build) => string;

/** Every part with what uses it. */
export function partsShown(
  { journal, reckonings }: Pick<PageContext, "journal" | "reckonings">,
  link: Link,
): PartsShown {
  const builds = journal.builds.all();
  const usedWith = <Thing extends { id: string }>(things: readonly Thing[], path: PartPath): Used<Thing>[] =>
    things.map((thing) => ({ thing, uses: usesOf(journal, path, thing.id, link, builds) }));
  return {
    chips: usedWith(journal.chips.all(), "chips"),
    boards: usedWith(journal.boards.all(), "boards"),
    workloads: usedWith(journal.workloads.all(), "workloads"),
    rules: usedWith(journal.rules.all(), "rules"),
    builds,
    models: modelsShown(journal, reckonings),
  };
}

/** More are not ranked on one page. */
const mostModels = 6;

function modelsShown(journal: Journal, reckonings: PageContext["reckonings"]): ModelShown[] {
  const loads = new Map(journal.workloads.all().map(({ id, name }) => [id, name]));
  const byModel = groupedModels(journal.chips.all());
  return byModel.slice(0, mostModels).map(([first]) => {
    const samples = samplesOfChip(journal, reckonings, { chipId: first.id });
    return { samples, load: samples.workloadId && (loads.get(samples.workloadId) ?? null) };
  });
}

function groupedModels(chips: readonly Chip[]): [Chip, ...Chip[]][] {
  const models = new Map<string, [Chip, ...Chip[]]>();
  for (const chip of chips) {
    const key = modelKey(chip);
    if (key === null) continue;
    const known = models.get(key);
    if (known === undefined) models.set(key, [chip]);
    else known.push(chip);
  }
  return [...models.values()].filter((of) => of.length > 1);
}

/** What would be left hanging without the part; empty where it may go. */
export function usesOf(
  journal: Journal,
  path: PartPath,
  id: string,
  link: Link,
  builds: readonly Build[] = journal.builds.all(),
): readonly PartUse[] {
  const asked = { chips: "chipId", boards: "boardId", rules: "ruleId" } as const;
  if (path === "workloads") return workloadUses(journal, id);
  const named = builds
    .filter((build) => build[asked[path]] === id)
    .map((build) => ({ words: build.name, href: link(build) }));
  return path === "rules" && id === standardRuleId
    ? [{ words: "every build without a rule of its own", href: null }, ...named]
    : named;
}

function workloadUses(journal: Journal, id: string): readonly PartUse[] {
  const counts = [
    formatCount(journal.attempts.countUnder(id), "attempt"),
    formatCount(journal.noise.countUnder(id), "noise reading"),
    formatCount(
      journal.rules.all().filter(({ requires }) => requires.some((wanted) => wanted.workloadId === id))
        .length,
      "acceptance rule",
    ),
  ];
  return counts.filter((words) => !words.startsWith("no ")).map((words) => ({ words, href: null }));
}
