import { formatElapsed } from "../../server/html/format.ts";
import { isMachine } from "./machine.ts";
import { remember, remembered } from "./remembered.ts";

const keyOf = (name: string): string => `seen:${name}`;

/** How far this page saw a run get; one that is kept a day later belongs to no run that anybody asks about. */
export const noteSighting = (name: string, elapsedS: number): void =>
  remember(keyOf(name), String(Math.floor(elapsedS)));

/** Another device goes on when the bench has frozen, so what it saw last is only the latest it can have been. */
const wordsFor = (seen: string): string =>
  isMachine() ? `Use ${seen}, when this page last ran` : `Use ${seen}, when this page last saw it`;

/** Beside what the server knows of how long a run went: the time this page itself saw, to be taken with one tap. */
export const offerSighting = (place: HTMLElement): void => {
  const seenS = Number(remembered(keyOf(place.dataset.seen ?? "")) ?? Number.NaN);
  const field = document.getElementById(place.dataset.for ?? "") as HTMLInputElement | null;
  if (!Number.isFinite(seenS) || field === null) return;
  const seen = formatElapsed(seenS);
  if (field.value === seen) return;
  const button = document.createElement("button");
  button.type = "button";
  button.textContent = wordsFor(seen);
  button.addEventListener("click", () => {
    field.value = seen;
    field.focus();
  });
  place.replaceChildren(button);
  place.hidden = false;
};
