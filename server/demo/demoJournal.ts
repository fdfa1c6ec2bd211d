import type { Parts } from "../bench/things/build.ts";
import { partsOf } from "../bench/things/build.ts";
import type { Kept } from "../bench/things/thing.ts";
import type { Journal } from "../store/file/journal.ts";
import { putDemoAccount } from "./demoAccount.ts";
import { otherBenches } from "./otherBenches.ts";
import { packedTrace } from "./packedTrace.ts";
import { demoBench, type Scenario } from "./scenario.ts";

/**
 * Fills a fresh journal with the three bench days before `now`, the sensor traces kept of them included, and the two
 * evenings with a card and a set of memory the week before.
 */
export function fillDemo(journal: Journal, now: string): void {
  const { scenario, spare, logged, traces, loggedTraces } = demoBench(now);
  journal.writeNow(() => {
    fillWithScenario(journal, otherBenches(now));
    fillWithScenario(journal, scenario);
    fillWithScenario(journal, spare);
    fillWithScenario(journal, logged);
    for (const { attemptId, startedAt, rows } of [...traces(), ...loggedTraces()])
      journal.traces.write(attemptId, packedTrace(rows), { source: "log", startedAt }, now);
    putDemoAccount(journal, scenario.builds, now);
  });
}

/** Writes a scenario into a fresh journal, whole or not at all. */
export function fillWithScenario(journal: Journal, scenario: Scenario): void {
  journal.writeNow(() => {
    putAll(journal.chips, scenario.chips);
    putAll(journal.boards, scenario.boards);
    putAll(journal.workloads, scenario.workloads);
    putAll(journal.rules, scenario.rules);
    putAll(journal.builds, scenario.builds);
    putAll(journal.mounts, scenario.mounts);
    putAttempts(journal, scenario);
    putAll(journal.noise, scenario.noise);
  });
}

function putAll<Fields>(
  store: Readonly<{ put(kept: Kept, fields: Fields): void }>,
  things: readonly (Kept & Fields)[],
): void {
  for (const thing of things) store.put(thing, thing);
}

/** In the order they were made, so that each state of a build is written down when it first ran. */
function putAttempts(journal: Journal, { attempts, builds }: Scenario): void {
  const stateIds = new Map<string, { parts: Parts; stateId: number }>();
  const stateOf = (id: string, parts: Parts): number => {
    const last = stateIds.get(id);
    if (last?.parts === parts) return last.stateId;
    const stateId = journal.builds.stateOf({ id, ...partsOf(parts) });
    stateIds.set(id, { parts, stateId });
    return stateId;
  };
  for (const attempt of attempts)
    journal.attempts.put(attempt, attempt, stateOf(attempt.buildId, attempt.asBuilt));
  for (const build of builds) journal.builds.stateOf(build);
}
