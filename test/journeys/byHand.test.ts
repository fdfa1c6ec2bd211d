import type { Page } from "playwright-core";
import { expect, it } from "vitest";
import { judged } from "../look/judged.ts";
import { measured } from "../look/measures.ts";
import { expectArrival } from "../support/arrival.ts";
import { journey, served, visitor } from "../support/browser.ts";
import { madeLog } from "../support/madeLog.ts";

const phone = { viewport: { width: 360, height: 740 }, hasTouch: true, timezoneId: "UTC" };

const settled = (page: Page) =>
  page.waitForFunction(() => document.querySelector("main [data-later]") === null, null, { timeout: 60_000 });

/** An invented chip that passes up to a clock that rises with its voltage. */
const passes = (clockMhz: number, voltageV: number): boolean => clockMhz <= 4500 + (voltageV - 1.15) * 1500;

/** Sets the dial, and arms or says at once that it passed; one that fails is armed and ends by a tap. */
async function tryAt(page: Page, clockMhz: number, voltageV: number): Promise<void> {
  await settled(page);
  await page.locator("#field-clockMhz").fill(String(clockMhz));
  await page.locator("#field-voltageMv").fill(String(voltageV));
  if (passes(clockMhz, voltageV)) await page.locator("#passed").tap();
  else {
    await page.locator("#arm").tap();
    await expectArrival(page, { focused: /^timer$/ });
    await page.locator("#end-freeze").tap();
  }
  await expectArrival(page, { focused: /^Kept: / });
}

async function newBuild(page: Page, url: string, board: string, name: string): Promise<string> {
  await page.goto(`${url}/parts/boards/new`);
  await page.locator("#field-name").fill(board);
  await page.getByRole("button", { name: /^Add the board/ }).tap();
  await page.waitForURL(/\/parts#boards/);
  await page.goto(`${url}/builds/new`);
  await page.locator("#field-name").fill(name);
  await page.locator("#field-boardId").selectOption({ label: board });
  await page.locator("#field-cooler").fill("Tall fin stack");
  await page.getByRole("button", { name: /^Add the build/ }).tap();
  await page.waitForURL(/\/builds\/[0-9a-f-]{36}/);
  return page.url().split("/").at(-1) as string;
}

journey("An evening logged by hand on a phone", () => {
  it("goes from an empty journal over fifteen attempts, a log and a second build to the account", async () => {
    const { url } = await served();
    const page = await visitor(phone);
    await page.addInitScript("globalThis.__name = (named) => named");
    const faults: string[] = [];
    /** What can be measured to be wrong with a page, as it stands where the evening comes past it. */
    const look = async (where: string, isBench = false) => {
      await settled(page);
      faults.push(
        ...judged(await measured(page), { isPhone: true, isBench, ...(isBench && { mostWords: 60 }) }).map(
          (fault) => `${where}: ${fault}`,
        ),
      );
    };

    await page.goto(url);
    await look("first visit");
    for (const [field, words] of Object.entries({
      ...{ chipName: "Tern 8", tempLimitC: "95", stockClockMhz: "4400", stockVoltageMv: "1.15" },
      ...{ boardName: "Quay S", workloadName: "Stacking" },
    }))
      await page.locator(`#field-${field}`).fill(words);
    await page.getByRole("button", { name: "To the first attempt" }).tap();
    await page.locator("#arm").waitFor();
    await look("first bench", true);

    const first = [
      [4400, 1.15],
      [4450, 1.15],
      [4500, 1.15],
      [4550, 1.15],
      [4525, 1.15],
      [4550, 1.2],
      [4600, 1.2],
      [4575, 1.2],
      [4625, 1.25],
      [4675, 1.25],
      [4650, 1.25],
    ] as const;
    for (const [clockMhz, voltageV] of first) {
      await tryAt(page, clockMhz, voltageV);
      await look(`bench after ${clockMhz}`, true);
    }
    const [{ id: a }] = (await (await fetch(`${url}/api/builds`)).json()).items;
    await page.goto(`${url}/builds/${a}`);
    await look("build");

    await page.goto(`${url}/builds/${a}/attempts`);
    await look("attempts");
    await page.locator("td[data-head='Time'] a").last().tap();
    await page.getByRole("link", { name: "Add a sensor log" }).tap();
    await page
      .getByLabel("Sensor log")
      .setInputFiles({ name: "run.csv", mimeType: "text/csv", buffer: Buffer.from(madeLog()) });
    await page.getByRole("button", { name: "Look at its columns" }).tap();
    await page.getByRole("button", { name: "Read the log" }).tap();
    await page.waitForURL(/\/heat\/[0-9a-f-]+(\/logs\/.*)?$/);
    await look("log");

    const b = await newBuild(page, url, "Quay L", "Shelf, Quay L");
    await look("second build");
    await page.goto(`${url}/?build=${b}`);
    for (const [clockMhz, voltageV] of [
      [4450, 1.15],
      [4500, 1.15],
      [4550, 1.2],
      [4600, 1.2],
    ] as const)
      await tryAt(page, clockMhz, voltageV);
    for (const [where, address] of [
      ["builds", "/builds"],
      ["compare", `/compare?a=${a}&b=${b}`],
      ["heat", "/heat"],
      ["write-up", `/write-up?builds=${a},${b}&use=daily&wait=yes`],
      ["journal", "/journal"],
    ] as const) {
      await page.goto(url + address);
      await look(where);
    }
    const attempts = async (build: string) =>
      (await (await fetch(`${url}/api/builds/${build}/attempts`)).json()).items.length;
    expect([await attempts(a), await attempts(b)]).toEqual([11, 4]);
    expect(faults).toEqual([]);
    expect(page.complaints).toEqual([]);
  }, 600_000);
});
