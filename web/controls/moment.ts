import { formatMoment, type MomentForm } from "../../server/html/format.ts";
import type { Behaviour } from "../attach.ts";

/** A time as the clock on the reader's own wall shows it. */
export const localMoment: Behaviour = {
  on: "time[data-moment]",
  attach: (element) => {
    const { dateTime } = element as HTMLTimeElement;
    const offset = -new Date(dateTime).getTimezoneOffset();
    const year = new Date().getFullYear();
    element.textContent = formatMoment(dateTime, element.dataset.moment as MomentForm, offset, year);
  },
};
