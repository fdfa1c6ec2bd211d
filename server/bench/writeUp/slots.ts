import type { Account } from "./account.ts";
import { writeUpOf } from "./writeUp.ts";

/** A paragraph that the writer may put into words of their own. */
export type Slot = Readonly<{ slot: string; name: string; words: string }>;

const names = [
  ["title", "Title"],
  ["answer", "The answer in short"],
  ["compared", "What was compared"],
  ["method", "Method"],
  ["conditions", "Conditions"],
  ["verdict", "Verdict"],
  ["recommendation", "What to run"],
  ["caveats", "Caveats"],
  ["cautions", "Cautions"],
] as const;

/** What is recommended depends on the use, so each use has words of its own. */
const recommendationSlot = ({ use }: Pick<Account, "use">): string => `recommendation-${use}`;

/** Every such paragraph in the order of the account, with what the journal says; empty where it says nothing. */
export function slotsOf(account: Account): Slot[] {
  const said = new Map(
    writeUpOf({ ...account, own: {} }).flatMap((block) =>
      block.as === "paragraph" ? [[block.slot, block.words] as const] : [],
    ),
  );
  return names.map(([slot, name]) => {
    const of = slot === "recommendation" ? recommendationSlot(account) : slot;
    return { slot: of, name, words: slot === "title" ? account.title : (said.get(of) ?? "") };
  });
}
