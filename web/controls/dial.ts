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

const turn = (dial: HTMLElement, by: -1 | 1): void => {
  const input = dial.querySelector("input");
  if (!input) return;
  const next = turned(input.value, by, gridOf(dial));
  if (next === undefined || next === input.value) return;
  input.value = next;
  input.dispatchEvent(new Event("input", { bubbles: true }));
  input.dispatchEvent(new Event("change", { bubbles: true }));
};

/** − and + beside a number, and the arrow keys inside it. */
export const turnDials = (): void => {
  document.addEventListener("click", ({ target }) => {
    const button = target instanceof Element ? target.closest<HTMLElement>("[data-turn]") : null;
    const dial = button?.closest<HTMLElement>("[data-dial]");
    if (button && dial) turn(dial, Number(button.dataset.turn) < 0 ? -1 : 1);
  });
  document.addEventListener("keydown", (event) => {
    if (event.key !== "ArrowUp" && event.key !== "ArrowDown") return;
    const { target } = event;
    const dial = target instanceof HTMLInputElement ? target.closest<HTMLElement>("[data-dial]") : null;
    if (!dial) return;
    event.preventDefault();
    turn(dial, event.key === "ArrowUp" ? 1 : -1);
  });
};
