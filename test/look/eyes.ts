import path from "node:path";
import type { Page } from "playwright-core";
import { foundByAxe } from "../support/axe.ts";
import { type Asked, judged } from "./judged.ts";
import { measured } from "./measures.ts";

/** The sizes it is looked at in. */
export const sizes = {
  360: { viewport: { width: 360, height: 740 }, hasTouch: true },
  1280: { viewport: { width: 1280, height: 900 } },
} as const;
export type Size = keyof typeof sizes;

const usual = {
  ...({ media: "screen", colorScheme: "light", forcedColors: "none" } as const),
  ...({ contrast: "no-preference", reducedMotion: "reduce" } as const),
};

/** The ways a page is shown; what is printed has the width of a sheet. */
const ways = [
  { name: "light", how: usual },
  { name: "dark", how: { ...usual, colorScheme: "dark" } },
  { name: "forced", how: { ...usual, forcedColors: "active" } },
  { name: "contrast", how: { ...usual, contrast: "more" } },
  { name: "print", how: { ...usual, media: "print" } },
] as const;

/** What the page fetches after it was shown is there. */
export async function settled(page: Page): Promise<void> {
  await page.waitForLoadState("networkidle", { timeout: 5_000 }).catch(() => undefined);
  await page
    .waitForFunction(() => document.querySelector("[data-later]") === null, null, { timeout: 30_000 })
    .catch(() => undefined);
  await page.waitForTimeout(150);
}

/** A window of 1280 enlarged twice and four times is as narrow as this. */
const enlarged = [640, 320] as const;

async function tooWideEnlarged(page: Page): Promise<readonly string[]> {
  const found: string[] = [];
  for (const width of enlarged) {
    await page.setViewportSize({ width, height: 450 });
    const overNow = () => page.evaluate(() => document.documentElement.scrollWidth - innerWidth);
    // A chart is drawn anew once its place has another width.
    for (let patience = 20; patience > 0 && (await overNow()) > 0; patience--) await page.waitForTimeout(100);
    const over = await overNow();
    if (over > 0) found.push(`${over} px wider than the screen at ${(100 * 1280) / width} %`);
  }
  return found;
}

/** The whole page as it stands under a finger: a picture of more than the window would be taken as though with a mouse. */
async function takePicture(page: Page, file: string): Promise<void> {
  const window = page.viewportSize() ?? sizes[1280].viewport;
  const height = await page.evaluate(() => document.documentElement.scrollHeight);
  await page.setViewportSize({ ...window, height });
  await page.screenshot({ path: file });
  await page.setViewportSize(window);
}

/** Takes the pictures of a page as it stands and says what is wrong with it. */
export async function lookAt(
  page: Page,
  { folder, size, name, asked }: Readonly<{ folder: string; size: Size; name: string; asked: Asked }>,
): Promise<readonly string[]> {
  const found = [...judged(await measured(page), asked)];
  for (const { name: way, how } of ways) {
    await page.emulateMedia(how);
    if (way === "print") {
      await page.setViewportSize({ width: 794, height: 1123 });
      // As a browser says before it prints: what a phone folds stands open on paper.
      await page.evaluate(() => dispatchEvent(new Event("beforeprint")));
    }
    await page.waitForTimeout(way === "light" ? 0 : 60);
    await takePicture(page, path.join(folder, `${name}-${size}-${way}.png`));
    if (way === "light" || way === "dark")
      found.push(...(await foundByAxe(page)).map((one) => `axe, ${way}: ${one}`));
  }
  await page.emulateMedia(usual);
  if (size === 1280) found.push(...(await tooWideEnlarged(page)));
  await page.setViewportSize(sizes[size].viewport);
  return found;
}
