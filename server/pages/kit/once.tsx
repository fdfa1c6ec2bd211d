import type { At } from "../../actions/context.ts";
import { digestOf } from "../../bench/things/digest.ts";
import { isId } from "../../bench/things/units.ts";
import type { PageContext } from "./context.ts";
import { type FormState, freshForm, type Typed } from "./forms.ts";

/** Goes along unseen in a form, so that the form sent twice is done once. */
export const OnceField = ({ once }: { once: string | undefined }) =>
  once === undefined ? null : <input type="hidden" name="once" value={once} />;

/** A form not sent yet, with the key that holds it to one answer among what is typed. */
export const formOnce = ({ journal, now }: PageContext, typed: Typed = {}): FormState =>
  freshForm({ once: journal.newId(now()), ...typed });

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

/** The same for what is no work of the journal's, where it may be written: what was done is noted in it afterwards. */
export async function doneOnceOutside(
  { journal, now }: PageContext,
  address: string,
  typed: Typed,
  work: () => Promise<string>,
): Promise<string> {
  const key = journal.stopped() === null ? keyOf(address, typed) : null;
  const earlier = key === null ? undefined : journal.answeredPosts.find(key);
  if (earlier) return earlier.answer;
  const answer = await work();
  if (key === null) return answer;
  const kept = { key, address, bodyHash: "", status: 200, answer };
  await journal.write(() => journal.answeredPosts.keep(kept, now()));
  return answer;
}

/** When it was tapped is no part of what was said: a form kept back for a while says it, and is the same form. */
function keyOf(address: string, { once, tappedS, ...said }: Typed): string | null {
  if (once === undefined || !isId(once)) return null;
  const words = JSON.stringify([address, Object.entries(said).sort()]);
  return `form ${once} ${digestOf(words)}`;
}
