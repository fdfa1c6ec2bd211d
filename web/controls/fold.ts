import type { Behaviour } from "../attach.ts";
import { remember, remembered } from "./remembered.ts";

/** A fold stays open for whoever uses it. One that the server opened is left open. */
export const rememberFold: Behaviour = {
  on: "details[data-fold]",
  attach: (element) => {
    const fold = element as HTMLDetailsElement;
    const key = `fold:${fold.dataset.fold}`;
    if (remembered(key) === "open") fold.open = true;
    fold.addEventListener("toggle", () => remember(key, fold.open ? "open" : null));
  },
};
