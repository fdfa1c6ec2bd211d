import { setTimeout as pause } from "node:timers/promises";
import { answerOf, type BuildAnswer, settledAnswerOf } from "../../answers/answerOf.ts";
import { keptBest } from "../../answers/keptAnswer.ts";
import type { BuildAim } from "../../bench/things/aim.ts";
import { Refusal } from "../../bench/things/refusal.ts";
import type { PageContext } from "./context.ts";

/** A fit takes well under this; a page waits no longer, and swaps the answer in instead. */
const patienceMs = 400;

/** Waits a moment for builds that have no answer to show yet; one that is being worked out anew is shown as it is. */
export async function answersSoon(
  { journal, reckonings }: PageContext,
  buildIds: readonly string[],
): Promise<void> {
  const unknown = buildIds.filter((id) =>
    isUnknown(
      () => answerOf(journal, reckonings, id),
      (aim) => keptBest.find(journal, id, aim) !== null,
    ),
  );
  if (unknown.length === 0) return;
  const all = Promise.all(unknown.map((id) => settledAnswerOf(journal, reckonings, id)));
  await Promise.race([all, pause(patienceMs)]);
}

function isUnknown(answer: () => BuildAnswer, isKept: (aim: BuildAim) => boolean): boolean {
  try {
    const { reckoning, setting, byOffset, aim } = answer();
    return reckoning && setting === null && byOffset === null && !isKept(aim);
  } catch (error) {
    if (error instanceof Refusal) return false;
    throw error;
  }
}
