import type { Kept } from "../things/thing.ts";

/** Which of two accounts of one thing stands. `apart` where each holds an edit the other never saw. */
export type Standing = Readonly<{ kept: "here" | "theirs"; apart: boolean }>;

/**
 * The newest edit stands. An account with more edits that is also newer has most likely grown from the other; a newer
 * one with as many or fewer has certainly been edited apart from it.
 */
export function standingOf(here: Kept, theirs: Kept): Standing {
  const [ours, others] = [Date.parse(here.updatedAt), Date.parse(theirs.updatedAt)];
  if (others > ours) return { kept: "theirs", apart: theirs.version <= here.version };
  return { kept: "here", apart: others === ours || theirs.version >= here.version };
}
