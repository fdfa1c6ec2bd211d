import type { Page } from "playwright-core";
import { expect } from "vitest";

/** The two sizes a bench page is met in: a phone in one hand, and a screen with a keyboard. */
export const screens = [
  { name: "on a phone", options: { viewport: { width: 360, height: 740 }, hasTouch: true } },
  { name: "at 1280", options: { viewport: { width: 1280, height: 800 } } },
] as const;

/** Where the focus is, whether it is whole inside the window, and what was last said to those who hear the page. */
const arrivalOn = (page: Page) =>
  page.evaluate(() => {
    const focused = document.activeElement as HTMLElement;
    const nameOf = (one: HTMLElement): string => {
      if (one.matches("[data-timer]")) return "timer";
      return one.matches("input, select, textarea") ? one.id : (one.textContent ?? "");
    };
    const { top, bottom, left, right } = focused.getBoundingClientRect();
    return {
      focused: nameOf(focused),
      inView: top >= 0 && bottom <= innerHeight && left >= 0 && right <= innerWidth,
      said: document.querySelector("#said")?.textContent ?? "",
    };
  });

type Arrival = Readonly<{ focused: string | RegExp; said?: RegExp }>;

/** What changed has the focus, stands whole in the window, and was said. */
export async function expectArrival(page: Page, { focused, said = /(?:)/ }: Arrival): Promise<void> {
  await expect
    .poll(() => arrivalOn(page), { timeout: 10_000 })
    .toEqual({
      focused: expect.stringMatching(focused),
      inView: true,
      said: expect.stringMatching(said),
    });
}
