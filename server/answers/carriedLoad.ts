import { heaviestOf } from "../bench/things/heaviestWorkload.ts";
import type { Journal } from "../store/file/journal.ts";
import { buildAsked } from "./buildAsked.ts";

/** Idling and boosting in between are no change of mind. */
const lookedBack = 20;

/** The load that the tester ran last on the build, where it is another than the one looked at of itself; else null. */
export function carriedLoad(journal: Journal, buildId: string): string | null {
  const { workloads } = buildAsked(journal, { buildId });
  const { items } = journal.attempts.pageOf(buildId, { limit: lookedBack, after: null });
  const last = items.find(
    ({ workloadId, clockMode }) =>
      clockMode !== "boost" && (workloads.get(workloadId)?.kind ?? "idle") !== "idle",
  );
  if (last === undefined) return null;
  const tried = new Set(journal.attempts.triedOf(buildId).map(({ workloadId }) => workloadId));
  return heaviestOf([...workloads.values()], tried) === last.workloadId ? null : last.workloadId;
}
