import { arriveAfterSwaps } from "./controls/arrival.ts";
import { leaveUnansweredForms } from "./controls/unanswered.ts";

/** What only a page that swaps pieces of itself needs, there before anybody can press. */
arriveAfterSwaps();
leaveUnansweredForms();
