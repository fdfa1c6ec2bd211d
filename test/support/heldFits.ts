import { type FitKind, type FitQuestions, fitAnswerOf } from "../../server/bench/best/limitQuestions.ts";
import { freshJournal, testServer } from "./bench.ts";

/** A server whose fits are held back and let go by hand. */
export async function heldServer(journal = freshJournal()) {
  let [isHeld, open] = [false, (): void => undefined];
  let gate = Promise.resolve();
  const server = await testServer(journal, {
    reckon: async (kind, request) => {
      await gate;
      return fitAnswerOf(kind as FitKind, request as FitQuestions[FitKind]);
    },
  });
  return {
    server,
    hold: () => {
      isHeld = true;
      gate = new Promise((resolve) => {
        open = () => resolve();
      });
    },
    letGo: () => {
      if (isHeld) open();
      isHeld = false;
      gate = Promise.resolve();
    },
  };
}
