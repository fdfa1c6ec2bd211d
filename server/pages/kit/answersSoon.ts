import { setTimeout as pause } from "node:timers/promises";
import { answerOf, type BuildAnswer, settled } from "../../answers/answerOf.ts";
import { keptBest } from "../../answers/keptFit.ts";
import { Refusal } from "../../bench/things/refusal.ts";
import type { Journal } from "../../store/file/journal.ts";
import type { PageContext } from "./context.ts";

/** A fit takes well under this; a page waits no longer, and swaps the answer in instead. */
const patienceMs = 400;

/**
 * Waits a moment for builds that have no answer to show yet; one that is being worked out anew is shown as it is. What is
 * not waited for any longer lets others go first, and is left undone where the record moves on.
 */
export async function answersSoon(
  { journal, reckonings }: PageContext,
  buildIds: readonly string[],
): Promise<void> {
  const unknown = buildIds.filter(
    (id) => !isKept(journal, id) && isUnknown(() => answerOf(journal, reckonings, id)),
  );
  if (unknown.length === 0) return;
  const enough = pause(patienceMs);
  await Promise.race([Promise.all(unknown.map((id) => settled(journal, reckonings, id, enough))), enough]);
}

function isKept(journal: Journal, buildId: string): boolean {
  const build = journal.builds.find(buildId);
  return build !== undefined && keptBest.find(journal, buildId, build) !== null;
}

function isUnknown(answer: () => BuildAnswer): boolean {
  try {
    const { reckoning, setting, byOffset } = answer();
    return reckoning && setting === null && byOffset === null;
  } catch (error) {
    if (error instanceof Refusal) return false;
    throw error;
  }
}
