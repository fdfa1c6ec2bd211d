import type { Page } from "playwright-core";
import { expect, it } from "vitest";
import { expectAccessible, journey, served, visitor } from "../support/browser.ts";
import { jpegNotes, telltale } from "../support/madePictures.ts";

const choose = async (page: Page, label: string, option: string) =>
  page.getByLabel(label, { exact: false }).first().selectOption({ label: option });

/** The first chip, board, load and build, then a second board and a second build, all by hand. */
async function twoBuilds(page: Page, url: string): Promise<readonly [string, string]> {
  await page.goto(url);
  await page.locator("#field-chipName").fill("Tern 8");
  await page.getByLabel("Temperature limit", { exact: false }).first().fill("95");
  await page.getByLabel("Stock clock", { exact: false }).first().fill("4400");
  await page.getByLabel("Stock voltage", { exact: false }).first().fill("1150 mV");
  await page.getByLabel("Board", { exact: false }).first().fill("Quay S");
  await page.locator("#field-workloadName").fill("Stacking");
  await page.getByRole("button", { name: "To the first attempt" }).click();
  await page.getByRole("button", { name: "Arm this attempt" }).waitFor();
  await page.goto(`${url}/parts/boards/new`);
  await page.getByLabel("Name", { exact: false }).first().fill("Quay L");
  await page.locator("main form button").first().click();
  await page.goto(`${url}/builds/new`);
  await page.getByLabel("Name", { exact: false }).first().fill("Shelf, Quay L");
  await choose(page, "Chip", "Tern 8");
  await page.locator("#field-boardId").selectOption({ label: "Quay L" });
  await page.getByRole("button", { name: "Add the build" }).click();
  await page.waitForURL(/\/builds\/[0-9a-f-]{36}/);
  const { items } = await (await fetch(`${url}/api/builds`)).json();
  const [large, small] = [true, false].map(
    (isLarge) => items.find(({ name }: { name: string }) => (name === "Shelf, Quay L") === isLarge).id,
  );
  return [large, small];
}

/** Three rungs with a crash above each, one of them run on both builds at the same setting. */
async function benchDays(url: string, builds: readonly string[]): Promise<void> {
  const [load] = (await (await fetch(`${url}/api/workloads`)).json()).items;
  const send = async (build: string, kind: string, body: object) => {
    const headers = { "content-type": "application/json" };
    const sent = { method: "POST", headers, body: JSON.stringify(body) };
    expect((await fetch(`${url}/api/builds/${build}/${kind}`, sent)).status).toBe(201);
  };
  for (const [i, build] of builds.entries()) {
    const run = { workloadId: load.id, ambientC: 22, durationS: 1800, outcome: "pass" };
    for (const [clockMhz, voltageMv] of [
      [4400, 1150],
      [4500, 1200],
      [4600, 1250],
    ] as const) {
      const loadTempC = 60 + (voltageMv - 1150) / 10 + 3 * i;
      await send(build, "attempts", { ...run, clockMhz: clockMhz + 50 * i, voltageMv, loadTempC });
      const crash = { clockMhz: clockMhz + 100 + 50 * i, voltageMv, outcome: "freeze", durationS: 120 };
      await send(build, "attempts", { ...run, ...crash });
    }
    await send(build, "attempts", { ...run, clockMhz: 4450, voltageMv: 1200, loadTempC: 64 + 3 * i });
    const reading = { workloadId: load.id, distanceM: 0.5, backgroundDba: 27 };
    await send(build, "noise", { ...reading, levelsDba: [38 + i, 38.4 + i, 38.1 + i] });
  }
}

/** A photograph as a telephone makes it: lying on its side, and full of where it was taken. */
async function photograph(page: Page): Promise<Buffer> {
  const plain = await page.evaluate(
    () =>
      new Promise<string>((resolve) => {
        const canvas = Object.assign(document.createElement("canvas"), { width: 320, height: 200 });
        const pen = canvas.getContext("2d") as CanvasRenderingContext2D;
        pen.fillStyle = "#38506b";
        pen.fillRect(0, 0, 320, 200);
        resolve(canvas.toDataURL("image/jpeg").split(",")[1] ?? "");
      }),
  );
  const bytes = Buffer.from(plain, "base64");
  return Buffer.concat([bytes.subarray(0, 2), jpegNotes(6), bytes.subarray(2)]);
}

journey("From an empty journal to a printed account of two builds", () => {
  it("is compared, pictured, put into words, and stands alone on paper", async () => {
    const { url } = await served();
    const page = await visitor();
    const [large, small] = await twoBuilds(page, url);
    await benchDays(url, [small, large]);

    await page.goto(`${url}/builds/${large}`);
    await page.getByRole("link", { name: "Attach a picture" }).click();
    const buffer = await photograph(page);
    expect(buffer.toString("latin1")).toContain(telltale);
    await page.getByLabel("Picture").setInputFiles({ name: "IMG_1.jpg", mimeType: "image/jpeg", buffer });
    await page.getByLabel("Caption").fill("The tower, fan towards the door");
    await page.getByRole("button", { name: "Attach it" }).click();
    await page.getByRole("img", { name: "The tower" }).waitFor();
    const seen = await page
      .getByRole("img", { name: "The tower" })
      .evaluate((image: HTMLImageElement) => [image.naturalWidth, image.naturalHeight]);
    expect(seen).toEqual([200, 320]);
    const address = await page.getByRole("img", { name: "The tower" }).getAttribute("src");
    const kept = Buffer.from(await (await fetch(`${url}${address}`)).arrayBuffer());
    expect(kept.toString("latin1")).not.toContain(telltale);
    await expectAccessible(page);

    await page.getByRole("link", { name: "Write-up" }).click();
    await expectAccessible(page);
    await page.getByLabel("Shelf, Quay L").check();
    for (const box of await page.getByRole("checkbox").all()) await box.check();
    await page.getByLabel("Each compared with").selectOption({ label: "Shelf, Quay L" });
    await page.getByRole("button", { name: "Write it up" }).click();
    await expect.poll(() => page.locator("h1").textContent()).toMatch(/^Shelf, Quay L against /);
    await expect.poll(() => page.getByText("still being fitted").count(), { timeout: 30_000 }).toBe(0);
    await expect.poll(() => page.locator("#account h2").allTextContents()).toContain("What to run");
    await expectAccessible(page);

    await page.getByRole("link", { name: "Write it in your own words" }).click();
    await expectAccessible(page);
    await page.getByLabel("Title").fill("The board for the shelf");
    await page.getByLabel("Caveats").fill("Both evenings in the same room.");
    await page.getByRole("button", { name: "Keep these words" }).click();
    await expect.poll(() => page.locator("h1").textContent()).toBe("The board for the shelf");
    await expect
      .poll(() => page.locator("#account").textContent())
      .toContain("Both evenings in the same room.");

    await page.emulateMedia({ media: "print" });
    for (const away of [".top nav", ".foot", ".account .act"])
      expect(await page.locator(away).first().isVisible()).toBe(false);
    for (const shown of ["h1", "#chart-limit-1", "#chart-differences-1", "#table-clocks-1", ".picture img"])
      expect(await page.locator(shown).first().isVisible()).toBe(true);
    expect(await page.locator("[data-later], .still.slim:visible").count()).toBe(0);
    const paper = await page.pdf({ format: "A4", preferCSSPageSize: true });
    const pages = paper.toString("latin1").match(/\/Type\s*\/Page\b(?!s)/g)?.length ?? 0;
    expect(pages).toBeGreaterThanOrEqual(3);
    expect(pages).toBeLessThanOrEqual(9);
    expect(page.complaints).toEqual([]);
  }, 120_000);

  it("does all of it without script, and fits a telephone", async () => {
    const { url } = await served();
    const scripted = await visitor();
    const [large, small] = await twoBuilds(scripted, url);
    await benchDays(url, [small, large]);
    const page = await visitor({ javaScriptEnabled: false, viewport: { width: 360, height: 780 } });
    await page.goto(`${url}/write-up`);
    for (const box of await page.getByRole("checkbox").all()) await box.check();
    await page.getByRole("button", { name: "Write it up" }).click();
    const wait = page.getByRole("link", { name: "Wait for them" });
    if ((await wait.count()) > 0) await wait.click();
    await expect
      .poll(() => page.locator("#account h2").allTextContents(), { timeout: 60_000 })
      .toContain("What to run");
    expect(await page.getByText("still being fitted").count()).toBe(0);
    await page.getByRole("link", { name: "Write it in your own words" }).click();
    await page.getByLabel("Verdict").fill("Take the larger one.");
    await page.getByRole("button", { name: "Keep these words" }).click();
    await expect.poll(() => page.locator("#account").textContent()).toContain("Take the larger one.");
    const parts = { cooler: "tall tower", case: "none", fans: "one", orientation: "flat", firmware: "1.07" };
    for (const build of [large, small])
      await fetch(`${url}/api/builds/${build}`, {
        method: "PATCH",
        headers: { "content-type": "application/json" },
        body: JSON.stringify({ ...parts, memory: "two sticks", powerSupply: "550 W" }),
      });
    const narrow = await visitor({ viewport: { width: 360, height: 780 } });
    await narrow.goto(page.url());
    expect(await narrow.evaluate(() => document.documentElement.scrollWidth)).toBeLessThanOrEqual(360);
    const folds = narrow.locator("details.phone-fold");
    const open = () => folds.evaluateAll((all) => all.map((one) => (one as HTMLDetailsElement).open));
    await expect.poll(open).toContain(false);
    expect(await open()).not.toContain(true);
    await narrow.evaluate(() => dispatchEvent(new Event("beforeprint")));
    expect(await open()).not.toContain(false);
    const wide = await visitor();
    await wide.goto(page.url());
    expect(await wide.locator("details.phone-fold > summary").first().isVisible()).toBe(false);
    expect(await wide.locator("details.phone-fold table").first().isVisible()).toBe(true);
  }, 120_000);
});
