import { bringIntoView } from "./inView.ts";
import { say } from "./said.ts";

/** What a swap brings that the reader waits for, the most telling first. */
const telling = ["[aria-invalid='true']", "[role='alert']", "[data-arrival]", "h1"];

/** A field is seen with its label and with what is wrong with it. */
const seenWith = (element: Element): Element => element.closest(".dial, .field") ?? element;

const isShown = (element: HTMLElement): boolean => element.getClientRects().length > 0;

/** Brings into view what has changed in `root`, gives it the focus and says it. */
export const arriveIn = (root: ParentNode): void => {
  const [found] = telling.flatMap((selector) =>
    [...root.querySelectorAll<HTMLElement>(selector)].filter(isShown),
  );
  if (!found) return;
  if (found.tabIndex < 0) found.tabIndex = -1;
  scrollTo({ top: 0, behavior: "instant" });
  bringIntoView(seenWith(found));
  found.focus({ preventScroll: true });
  if (found.dataset.arrival !== undefined) say(found.dataset.arrival || (found.textContent ?? ""));
};

/** Where a page swaps what it is about, the reader is taken to what changed, as a page loaded anew would. */
export const arriveAfterSwaps = (): void => {
  document.addEventListener("htmx:after:swap", (event) => {
    const { target } = (event as CustomEvent<{ ctx: { target: unknown } }>).detail.ctx;
    if (target instanceof HTMLElement && target.id === "main") arriveIn(target);
  });
};
