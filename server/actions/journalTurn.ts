import type { Journal } from "../store/file/journal.ts";

/** The journal is another thread's alone for as long as its transaction takes; refused where nothing may be written. */
export function turnOn(journal: Journal) {
  let giveBack: (() => void) | null = null;
  return {
    take: (): void => {
      journal.assertGoing();
      giveBack ??= journal.holdWrites();
    },
    giveBack: (): void => giveBack?.(),
  };
}
