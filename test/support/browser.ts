import path from "node:path";
import type { Browser, BrowserContextOptions, Page } from "playwright-core";
import { afterAll, afterEach, beforeAll, describe, expect } from "vitest";
import { foundByAxe, foundInColours } from "./axe.ts";
import { temporaryFolder } from "./bench.ts";
import { openChromium } from "./chromium.ts";
import { type Served, serving } from "./serving.ts";

/** The address at which a page listens to what changes. */
export const stream = /\/api\/events(\?|$)/;

let browser: Browser | undefined;
const opened: (() => Promise<unknown>)[] = [];

/** A person's story in a real browser. Without one it fails, unless it was asked to be left out by name. */
export function journey(title: string, stories: () => void): void {
  if (process.env.JOURNEYS === "none") {
    console.warn(`LEFT OUT, as JOURNEYS=none asks: ${title}`);
    describe.skip(title, stories);
    return;
  }
  describe(title, () => {
    beforeAll(async () => {
      browser ??= await openChromium();
    });
    afterEach(async () => {
      for (const close of opened.splice(0).reverse()) await close();
    });
    afterAll(async () => {
      await browser?.close();
      browser = undefined;
    });
    stories();
  });
}

/** A fresh page, as one visitor of their own. Whatever the page complains of fails the test that asks. */
export async function visitor(options: BrowserContextOptions = {}): Promise<Page & { complaints: string[] }> {
  if (!browser) throw new Error("A visitor needs a journey.");
  const context = await browser.newContext(options);
  context.setDefaultTimeout(60_000);
  opened.push(() => context.close());
  const page = await context.newPage();
  const complaints: string[] = [];
  page.on("pageerror", (error) => complaints.push(String(error)));
  page.on("console", (message) => {
    const isStream = stream.test(message.location().url);
    if (message.type() === "error" && !isStream && !/status of 4\d\d/.test(message.text()))
      complaints.push(message.text());
  });
  return Object.assign(page, { complaints });
}

/** The real program on a journal of its own, or on one named. */
export async function served(
  journal = path.join(temporaryFolder(), "journal.db"),
  more: readonly string[] = [],
): Promise<Served> {
  const server = await serving(journal, more);
  opened.push(server.kill);
  return server;
}

/** Nothing for axe to find on the page as it stands; in the second theme only the colours are others. */
export async function expectAccessible(page: Page): Promise<void> {
  await page.emulateMedia({ colorScheme: "light", reducedMotion: "reduce" });
  expect(await foundByAxe(page), "light").toEqual([]);
  await page.emulateMedia({ colorScheme: "dark" });
  expect(await foundInColours(page), "dark").toEqual([]);
}
