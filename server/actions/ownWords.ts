import { invalid } from "../bench/things/refusal.ts";
import type { At } from "./context.ts";
import { replacing } from "./undoMerge.ts";

/** Words as typed for one paragraph, and what the journal said beside them. */
export type TypedWords = Readonly<{ slot: string; words: string; replaced: string }>;

const longest = 20_000;

/**
 * Keeps what differs from the journal's words; the same words again, and the journal speaks for itself. What stands as it
 * is typed is left alone; what stood before comes back within the day.
 */
export function keepOwnWords(builds: string, typed: readonly TypedWords[], at: At): void {
  typed.forEach(assertShort);
  const { writeUpWords } = at.journal;
  const standing = writeUpWords.of(builds);
  const changed = typed.filter(({ slot, words, replaced }) => {
    const own = standing[slot];
    return (own?.words ?? plain(replaced)) !== plain(words) || (own && own.replaced !== replaced);
  });
  const places = changed.map(({ slot }) => `${builds} ${slot}`);
  replacing("ownWords", places, at, () => {
    for (const { slot, words, replaced } of changed)
      if (plain(words) === plain(replaced)) writeUpWords.drop(builds, slot, at.now);
      else writeUpWords.keep({ builds, slot, words: plain(words), replaced, updatedAt: at.now });
  });
}

function assertShort({ slot, words }: TypedWords): void {
  if (words.length > longest)
    throw invalid(`A paragraph may have at most ${longest.toLocaleString("en")} characters.`, {
      [slot]: `This one has ${words.length.toLocaleString("en")}.`,
    });
}

/** As it is read: forms send their own line ends. */
const plain = (words: string): string => words.replaceAll("\r\n", "\n").trim();
