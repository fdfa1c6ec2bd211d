import { createHash } from "node:crypto";
import type { At } from "../../actions/context.ts";
import { isId } from "../../bench/things/units.ts";
import type { PageContext } from "./context.ts";
import type { Typed } from "./forms.ts";

/** Goes along unseen in a form, so that the form sent twice is done once. */
export const OnceField = ({ once }: { once: string }) => <input type="hidden" name="once" value={once} />;

/**
 * Does `work` in a commit and gives the address it says to go to. A form that comes again, word for word, is answered
 * as it was the first time and not done again, also after a restart; with anything else typed it is another form.
 */
export function doneOnce(
  { journal, now }: PageContext,
  address: string,
  typed: Typed,
  work: (at: At) => string,
): Promise<string> {
  const key = keyOf(address, typed);
  return journal.write(() => {
    const at = { journal, now: now() };
    if (key === null) return work(at);
    const earlier = journal.answeredPosts.find(key);
    if (earlier) return earlier.answer;
    const answer = work(at);
    journal.answeredPosts.keep({ key, address, bodyHash: "", status: 303, answer }, at.now);
    return answer;
  });
}

/** When it was tapped is no part of what was said: a form kept back for a while says it, and is the same form. */
function keyOf(address: string, { once, tappedS, ...said }: Typed): string | null {
  if (once === undefined || !isId(once)) return null;
  const words = JSON.stringify([address, Object.entries(said).sort()]);
  return `form ${once} ${createHash("sha256").update(words).digest("base64url")}`;
}
