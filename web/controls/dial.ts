import { type Grid, turned } from "./turned.ts";

const optional = (text: string | undefined): number | undefined =>
  text === undefined || text === "" ? undefined : Number(text);

const gridOf = ({ dataset }: HTMLElement): Grid => ({
  step: Number(dataset.step),
  origin: Number(dataset.origin ?? 0),
  min: optional(dataset.min),
  max: optional(dataset.max),
  decimals: Number(dataset.decimals ?? 0),
});

const changed = (input: HTMLInputElement): void => {
  input.dispatchEvent(new Event("input", { bubbles: true }));
  input.dispatchEvent(new Event("change", { bubbles: true }));
};

const turn = (dial: HTMLElement, by: -1 | 1): void => {
  const input = dial.querySelector("input");
  if (!input) return;
  const next = turned(input.value, by, gridOf(dial));
  if (next === undefined || next === input.value) return;
  input.value = next;
  changed(input);
};

/** Takes what was typed and stays, to be typed over. With Ctrl it presses what its form is for. */
const take = (input: HTMLInputElement, { ctrlKey, metaKey }: KeyboardEvent): void => {
  changed(input);
  if (ctrlKey || metaKey) input.form?.querySelector<HTMLElement>(".button.first")?.click();
  else input.select();
};

/** Back to what stood there; once it does, out of the field, where single keys count again. */
const giveBack = (input: HTMLInputElement): void => {
  if (input.value === input.defaultValue) input.blur();
  else {
    input.value = input.defaultValue;
    changed(input);
    input.select();
  }
};

const keyed: Readonly<Record<string, (input: HTMLInputElement, event: KeyboardEvent) => void>> = {
  Enter: take,
  Escape: giveBack,
};

const turnedBy: Readonly<Record<string, -1 | 1>> = { ArrowUp: 1, ArrowDown: -1 };

let isListening = false;

/** − and + beside a number; inside it the arrow keys, Enter and Escape. */
export const turnDials = (): void => {
  if (isListening) return;
  isListening = true;
  document.addEventListener("click", ({ target }) => {
    const button = target instanceof Element ? target.closest<HTMLElement>("[data-turn]") : null;
    const dial = button?.closest<HTMLElement>("[data-dial]");
    if (button && dial) turn(dial, Number(button.dataset.turn) < 0 ? -1 : 1);
  });
  document.addEventListener("keydown", (event) => {
    const { target } = event;
    const input = target instanceof HTMLInputElement && !event.isComposing ? target : null;
    const dial = input?.closest<HTMLElement>(".dial");
    const by = turnedBy[event.key];
    if (!input || !dial || (by === undefined && !keyed[event.key])) return;
    if (by === undefined) keyed[event.key]?.(input, event);
    else if (dial.dataset.dial === undefined) return;
    else turn(dial, by);
    event.preventDefault();
  });
};
