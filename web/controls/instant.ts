import type { Behaviour } from "../attach.ts";
import { type OffsetAt, onThisWall, zoneSaid } from "./wallTime.ts";

const here: OffsetAt = (instantMs) => -new Date(instantMs).getTimezoneOffset();

/** A time field speaks the time of this wall's clock; without script it speaks UTC, and either says which. */
export const localInstant: Behaviour = {
  on: "input[data-instant]",
  attach: (element) => {
    const field = element as HTMLInputElement;
    field.value = onThisWall(field.value, here);
    field.addEventListener("change", () => {
      field.value = zoneSaid(field.value, here);
    });
    const hint = document.querySelector(`#${CSS.escape(field.id)}-hint`);
    if (hint?.textContent)
      hint.textContent = hint.textContent.replace(/\d{4}-\d\d-\d\d \d\d:\d\d UTC/, (example) =>
        onThisWall(example, here),
      );
  },
};
