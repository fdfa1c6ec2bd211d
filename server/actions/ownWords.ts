import { invalid } from "../bench/things/refusal.ts";
import type { At } from "./context.ts";

/** Words as typed for one paragraph, and what the journal said beside them. */
export type TypedWords = Readonly<{ slot: string; words: string; replaced: string }>;

const longest = 20_000;

/** Keeps what differs from the journal's words; the same words again, and the journal speaks for itself. */
export function keepOwnWords(builds: string, typed: readonly TypedWords[], { journal, now }: At): void {
  for (const { slot, words, replaced } of typed) {
    if (words.length > longest)
      throw invalid(`A paragraph may have at most ${longest.toLocaleString("en")} characters.`, {
        [slot]: `This one has ${words.length.toLocaleString("en")}.`,
      });
    if (plain(words) === plain(replaced)) journal.writeUpWords.drop(builds, slot);
    else journal.writeUpWords.keep({ builds, slot, words: plain(words), replaced, updatedAt: now });
  }
}

/** As it is read: forms send their own line ends. */
const plain = (words: string): string => words.replaceAll("\r\n", "\n").trim();
