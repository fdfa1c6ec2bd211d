import type { Page } from "playwright-core";
import { expect } from "vitest";
import { arrivalOn } from "./focus.ts";

/** The two sizes a bench page is met in: a phone in one hand, and a screen with a keyboard. */
export const screens = [
  { name: "on a phone", options: { viewport: { width: 360, height: 740 }, hasTouch: true } },
  { name: "at 1280", options: { viewport: { width: 1280, height: 800 } } },
] as const;

type Arrival = Readonly<{ focused: string | RegExp; said?: RegExp }>;

/** What changed has the focus, stands whole in the window, and was said. */
export async function expectArrival(
  page: Page,
  { focused, said = /(?:)/ }: Arrival,
  timeout = 30_000,
): Promise<void> {
  await expect
    .poll(() => arrivalOn(page), { timeout })
    .toEqual({
      focused: expect.stringMatching(focused),
      inView: true,
      said: expect.stringMatching(said),
    });
}
