/**
 * Walks every page and every state of the bench at 360 and 1280, in both themes, forced colours and print: takes the
 * pictures, which are for eyes, and says what can be measured to be wrong.
 * npm run look -- --folder pictures --only bench,build --size 360
 */
import { mkdirSync, mkdtempSync, rmSync } from "node:fs";
import os from "node:os";
import path from "node:path";
import { parseArgs } from "node:util";
import type { Page } from "playwright-core";
import { benchAt } from "../support/benchAt.ts";
import { openChromium } from "../support/chromium.ts";
import { serving } from "../support/serving.ts";
import { addressOf, emptyPages, everyPage } from "./addresses.ts";
import { arrivalFaults, benchStates, eveningOf } from "./benchWalk.ts";
import { lookAt, type Size, settled, sizes } from "./eyes.ts";

const { values } = parseArgs({
  options: { folder: { type: "string" }, only: { type: "string" }, size: { type: "string" } },
});
const journals = mkdtempSync(path.join(os.tmpdir(), "rungbook-look-"));
const folder = values.folder ?? path.join(os.tmpdir(), "rungbook-pictures");
mkdirSync(folder, { recursive: true });
const only = values.only?.split(",") ?? null;
const isWanted = (name: string) => only === null || only.some((part) => name.startsWith(part));
const wantedSizes = ([360, 1280] as const).filter((size) => !values.size || values.size === String(size));

let [looked, faults] = [0, 0];
/** Said as it is found, since the whole walk takes a while. */
const tell = (fault: string): void => {
  faults += 1;
  console.log(fault);
};
const note = (name: string, size: Size, found: readonly string[]): void => {
  looked += 1;
  for (const one of found) tell(`${name} at ${size}: ${one.slice(0, 300)}`);
};

async function walkPages(
  page: Page,
  size: Size,
  url: string,
  pages: Awaited<ReturnType<typeof everyPage>>,
): Promise<void> {
  for (const one of pages.filter(({ name }) => isWanted(name))) {
    const { name, mostWords } = one;
    const address = await addressOf(one);
    const answer = await page.goto(url + address);
    await settled(page);
    const judging = {
      isPhone: size === 360,
      isBench: /^\/(\?|$)/.test(address),
      ...(mostWords === undefined ? {} : { mostWords }),
    };
    const found = await lookAt(page, { folder, size, name, asked: judging });
    note(name, size, answer?.status() === 200 ? found : [`status ${answer?.status()}`, ...found]);
  }
}

async function walkBench(page: Page, size: Size, url: string): Promise<void> {
  await eveningOf(await benchAt(url));
  for (const { name, reach, focused, isUnfolded = false } of benchStates) {
    await reach(page, url);
    const arrival = focused ? await arrivalFaults(page, focused) : [];
    await settled(page);
    const asked = {
      isPhone: size === 360,
      isBench: true,
      isUnfolded,
      ...(isUnfolded ? {} : { mostWords: 60 }),
    };
    const isLooked = isWanted(`state-${name}`);
    const found = isLooked ? await lookAt(page, { folder, size, name: `state-${name}`, asked }) : [];
    note(`state-${name}`, size, [...arrival, ...found]);
  }
}

const browser = await openChromium();
const opened: { kill(): Promise<void> }[] = [];
try {
  for (const size of wantedSizes) {
    const at = (name: string) => path.join(journals, `${name}-${size}.db`);
    const servers = {
      demo: await serving(at("demo"), ["--demo"]),
      empty: await serving(at("empty")),
      evening: await serving(at("evening")),
    };
    opened.push(...Object.values(servers));
    const context = await browser.newContext({ ...sizes[size], reducedMotion: "reduce", timezoneId: "UTC" });
    // What runs in the page was named by the transpiler, which asks for this.
    await context.addInitScript("globalThis.__name = (named) => named");
    const page = await context.newPage();
    page.on("pageerror", (error) => tell(`${page.url()}: ${error}`));
    await walkPages(page, size, servers.demo.url, await everyPage(servers.demo.url));
    await walkPages(page, size, servers.empty.url, emptyPages);
    if (only === null || only.some((part) => part.startsWith("state")))
      await walkBench(page, size, servers.evening.url);
    await context.close();
  }
} finally {
  await browser.close();
  for (const { kill } of opened) await kill();
  rmSync(journals, { recursive: true, force: true });
}

console.log(`${looked} pages and states looked at, ${faults} faults. The pictures are in ${folder}.`);
process.exitCode = faults === 0 ? 0 : 1;
