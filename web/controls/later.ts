import { focusKept } from "./focusKept.ts";
import { say } from "./said.ts";

const wait = (ms: number): Promise<void> => new Promise((resolve) => setTimeout(resolve, ms));

/**
 * Pieces that bear the id of something on the page take its place; what is left takes the place of the waiting one, save
 * what is for its own place only. What says the same as what stands is neither put nor said.
 */
const putIn = (place: HTMLElement, pieces: DocumentFragment): void => {
  const said: string[] = [];
  for (const piece of [...pieces.children] as HTMLElement[]) {
    // The newest block of charts is the last of the page.
    if (piece.matches("script[data-charts]")) document.body.append(piece);
    const standing = piece.id ? document.querySelector(`#${CSS.escape(piece.id)}`) : null;
    const isNews = standing === null ? piece.dataset.only === undefined : !saysTheSame(standing, piece);
    if (isNews && piece.dataset.said) said.push(piece.dataset.said);
    if (standing && isNews) {
      const giveBack = focusKept(standing);
      standing.replaceWith(piece);
      giveBack();
    } else if (!isNews) piece.remove();
  }
  place.replaceWith(pieces);
  if (said.length > 0) say(said.join(" "));
};

/** Pictures are always put anew: their words are not all there is to them. */
const saysTheSame = (standing: Element, piece: Element): boolean =>
  standing.textContent === piece.textContent && piece.querySelector("svg") === null;

/**
 * Pieces of the page that were not ready when the page was: they are asked for until the server has them. 204 means
 * not yet; anything that is not a page leaves what stands.
 */
export const fillLater = async (place: HTMLElement): Promise<void> => {
  const address = place.dataset.later ?? "";
  for (let pause = 400; place.isConnected && pause < 60_000; pause *= 1.5) {
    await wait(pause);
    const answer = await fetch(address, { headers: { accept: "text/html" } }).catch(() => undefined);
    if (!answer?.ok) return;
    if (answer.status === 204) continue;
    const pieces = document.createElement("template");
    pieces.innerHTML = await answer.text();
    // Swapped away meanwhile: nobody waits for it any more.
    if (!place.isConnected) return;
    putIn(place, pieces.content);
    return;
  }
};
