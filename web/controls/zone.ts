import type { Behaviour } from "../attach.ts";

/** Tells the server which zone the clock on this wall keeps. */
export const ownZone: Behaviour = {
  on: "input[data-zone]",
  attach: (element) => {
    (element as HTMLInputElement).value = Intl.DateTimeFormat().resolvedOptions().timeZone;
  },
};
