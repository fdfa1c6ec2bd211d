import type { At } from "../../actions/context.ts";
import type { AttemptDraft } from "../../bench/things/attempt.ts";

/**
 * Runs told one after the other from notes overlap where each is taken to have ended just now. A machine makes one at a
 * time: where nobody said when, one begins no earlier than the one told before it.
 */
export function inOrderTold(draft: AttemptDraft, buildId: string, { journal, now }: At): AttemptDraft {
  if (draft.outcome === "running" || draft.startedAt != null) return draft;
  const [before] = journal.attempts.newestOf(buildId, 1).items;
  const afterIt = before === undefined ? 0 : Date.parse(before.startedAt) + 1000;
  const begunMs = Date.parse(now) - 1000 * (draft.durationS ?? 0);
  return afterIt <= begunMs || afterIt > Date.parse(now)
    ? draft
    : { ...draft, startedAt: new Date(afterIt).toISOString() };
}
