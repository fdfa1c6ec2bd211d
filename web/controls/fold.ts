import type { Behaviour } from "../attach.ts";
import { remember, remembered } from "./remembered.ts";

/** A fold stays open for whoever opens it by hand; one that a page opened, after a refusal say, is no choice of theirs. */
export const rememberFold: Behaviour = {
  on: "details[data-fold]",
  attach: (element) => {
    const fold = element as HTMLDetailsElement;
    const key = `fold:${fold.dataset.fold}`;
    if (remembered(key) === "open") fold.open = true;
    const summary = fold.querySelector(":scope > summary");
    summary?.addEventListener("click", () => remember(key, fold.open ? null : "open"));
  },
};
