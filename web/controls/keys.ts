import { remember, remembered } from "./remembered.ts";

const choice = "keys";
const areOn = (): boolean => remembered(choice) !== "off";

const isTyping = (target: EventTarget | null): boolean =>
  target instanceof HTMLElement &&
  (target.isContentEditable ||
    target.matches(
      "textarea, select, input:not([type=checkbox], [type=radio], [type=button], [type=submit])",
    ));

const isSeen = (element: HTMLElement): boolean =>
  element.getClientRects().length > 0 && !element.matches(":disabled");

const carrierOf = (letter: string): HTMLElement | undefined =>
  [...document.querySelectorAll<HTMLElement>("[data-key]")].find(
    (element) => element.dataset.key === letter && isSeen(element),
  );

const press = (event: KeyboardEvent): void => {
  const { ctrlKey, metaKey, altKey, repeat, key, target } = event;
  if (ctrlKey || metaKey || altKey || repeat || !areOn() || isTyping(target)) return;
  const element = carrierOf(key.length === 1 ? key.toLowerCase() : key);
  if (!element) return;
  event.preventDefault();
  element.focus();
  if (element instanceof HTMLInputElement) element.select();
  else element.click();
};

const show = (): void => {
  document.documentElement.dataset.keys = areOn() ? "on" : "off";
  for (const button of document.querySelectorAll<HTMLElement>("[data-keys-switch]")) {
    button.setAttribute("aria-pressed", String(areOn()));
    button.textContent = `Single keys: ${areOn() ? "on" : "off"}`;
  }
};

/** A single key presses the button that shows it. They can be turned off: whoever dictates would press them unmeant. */
export const pressByKey = (): void => {
  document.addEventListener("keydown", press);
  document.addEventListener("click", ({ target }) => {
    if (!(target instanceof Element) || !target.closest("[data-keys-switch]")) return;
    remember(choice, areOn() ? "off" : null);
    show();
  });
  show();
};
