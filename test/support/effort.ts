import type { Page } from "playwright-core";

/** What a person has done on the pages so far: taps, keys pressed, and of those the ones that typed a character. */
export type Effort = Readonly<{ taps: number; keys: number; characters: number; seconds: number }>;

/** Counts what a person does, over every page that is visited. Called before the first. */
export async function counted(page: Page): Promise<() => Promise<Effort>> {
  const beganAt = Date.now();
  await page.addInitScript(() => {
    const add = (name: string): void =>
      sessionStorage.setItem(name, String(Number(sessionStorage.getItem(name)) + 1));
    addEventListener("pointerdown", () => add("taps"), { capture: true });
    addEventListener(
      "keydown",
      ({ key, ctrlKey }) => {
        if (["Control", "Shift", "Alt", "Meta"].includes(key)) return;
        add("keys");
        if (key.length === 1 && !ctrlKey) add("characters");
      },
      { capture: true },
    );
  });
  return async () => {
    const [taps = 0, keys = 0, characters = 0] = await page.evaluate(() =>
      ["taps", "keys", "characters"].map((name) => Number(sessionStorage.getItem(name))),
    );
    return { taps, keys, characters, seconds: Math.round((Date.now() - beganAt) / 1000) };
  };
}
