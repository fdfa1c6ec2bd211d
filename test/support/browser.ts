import { type ChildProcess, execFileSync, spawn } from "node:child_process";
import { existsSync } from "node:fs";
import path from "node:path";
import { AxeBuilder } from "@axe-core/playwright";
import { type Browser, type BrowserContextOptions, chromium, type Page } from "playwright-core";
import { afterAll, afterEach, beforeAll, describe, expect } from "vitest";
import { temporaryFolder } from "./bench.ts";

const root = path.resolve(import.meta.dirname, "../..");

const onPath = (name: string): string | undefined => {
  try {
    return execFileSync("which", [name], { encoding: "utf8" }).trim() || undefined;
  } catch {
    return undefined;
  }
};

const executable =
  process.env.CHROMIUM || ["chromium", "chromium-browser"].map(onPath).find((found) => found !== undefined);

const quietly = [
  "--no-sandbox",
  "--disable-gpu",
  "--disable-quic",
  "--no-first-run",
  "--disable-background-networking",
  "--disable-component-update",
  "--disable-sync",
];

let browser: Browser | undefined;
const opened: (() => Promise<unknown>)[] = [];

/** A person's story in a real browser. Without one it is skipped, loudly; where CI is set it fails. */
export function journey(title: string, stories: () => void): void {
  if (!executable && !process.env.CI) {
    console.warn(`SKIPPED, no Chromium found (set CHROMIUM to one): ${title}`);
    describe.skip(title, stories);
    return;
  }
  describe(title, () => {
    beforeAll(async () => {
      if (!executable) throw new Error("No Chromium was found; set CHROMIUM to one.");
      browser ??= await chromium.launch({ executablePath: executable, args: quietly });
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
  opened.push(() => context.close());
  const page = await context.newPage();
  const complaints: string[] = [];
  page.on("pageerror", (error) => complaints.push(String(error)));
  page.on("console", (message) => {
    if (message.type() === "error" && !/status of 4\d\d/.test(message.text()))
      complaints.push(message.text());
  });
  return Object.assign(page, { complaints });
}

export type Served = Readonly<{
  url: string;
  journal: string;
  /** Ends it as a power cut would. */
  kill(): Promise<void>;
}>;

/** The real program on a journal of its own, or on one named. */
export async function served(
  journal = path.join(temporaryFolder(), "journal.db"),
  more: readonly string[] = [],
): Promise<Served> {
  const built = path.join(root, "dist/server/main.js");
  const program = existsSync(built) ? [built] : ["--import", "tsx", path.join(root, "server/main.ts")];
  const child = spawn(process.execPath, [...program, "--port", "0", "--journal", journal, ...more], {
    cwd: root,
    stdio: ["ignore", "pipe", "pipe"],
  });
  const kill = () => ended(child);
  opened.push(kill);
  return { url: await addressOf(child), journal, kill };
}

async function addressOf(child: ChildProcess): Promise<string> {
  let said = "";
  return new Promise((resolve, reject) => {
    child.stderr?.on("data", (chunk) => {
      said += chunk;
    });
    child.stdout?.on("data", (chunk) => {
      const [, url] = /^Listening on (http:\S+)/m.exec(String(chunk)) ?? [];
      if (url) resolve(url);
    });
    child.once("exit", (code) => reject(new Error(`The server ended with ${code}: ${said}`)));
  });
}

const ended = (child: ChildProcess): Promise<void> =>
  new Promise((resolve) => {
    if (child.exitCode !== null || child.signalCode !== null) return resolve();
    child.once("exit", () => resolve());
    child.kill("SIGKILL");
  });

/** What axe finds on the page as it stands, in both themes. */
export async function expectAccessible(page: Page): Promise<void> {
  for (const colorScheme of ["light", "dark"] as const) {
    await page.emulateMedia({ colorScheme, reducedMotion: "reduce" });
    const { violations } = await new AxeBuilder({ page })
      .withTags(["wcag2a", "wcag2aa", "wcag21a", "wcag21aa", "wcag22aa", "best-practice"])
      .analyze();
    const found = violations.map(({ id, nodes }) => `${id}: ${nodes.map(({ html }) => html).join(" | ")}`);
    expect(found, colorScheme).toEqual([]);
  }
}
