import type { Page } from "playwright-core";

/** Where the focus is, whether it is whole inside the window, and what was last said to those who hear the page. */
export const arrivalOn = (page: Page) =>
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
