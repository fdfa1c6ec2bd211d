import type { Page } from "playwright-core";
import { expect, it } from "vitest";
import { benchAt } from "../support/benchAt.ts";
import { journey, served, visitor } from "../support/browser.ts";
import { madeLog } from "../support/madeLog.ts";

/** Marks the drawing that stands; what comes back is there once another has taken its place. */
async function drawingAfter(page: Page, chart: string, swap: () => Promise<unknown>) {
  await page.locator(`${chart} .drawing`).evaluate((first) => first.setAttribute("data-first", ""));
  await swap();
  const next = page.locator(`${chart} .drawing:not([data-first])`);
  await next.waitFor();
  return next;
}

journey("A chart that is drawn anew", () => {
  it("is looked at as closely as before, and read on from the same mark", async () => {
    const { url } = await served();
    const bench = await benchAt(url);
    const passed = (clockMhz: number, voltageMv: number) =>
      bench.made(`/api/builds/${bench.build}/attempts`, {
        ...{ workloadId: bench.load, clockMhz, voltageMv, outcome: "pass", durationS: 900 },
      });
    for (const [i, voltageMv] of [1150, 1175, 1200, 1225, 1250].entries())
      await passed(4400 + 25 * i, voltageMv);
    const page = await visitor();
    await page.goto(`${url}/builds/${bench.build}`);
    await page.waitForFunction(() => document.querySelector("[data-later]") === null, null, {
      timeout: 60_000,
    });
    const reading = page.locator("#chart-limit .reading");
    await page.locator("#chart-limit .drawing").focus();
    for (let closer = 0; closer < 5; closer++) await page.keyboard.press("+");
    await page.locator("#chart-limit .drawing.closer").waitFor();
    for (let mark = 0; mark < 3; mark++) await page.keyboard.press("ArrowRight");
    await expect.poll(() => reading.textContent(), { timeout: 20_000 }).toMatch(/^4450 MHz at 1\.200 V/);

    // Recorded elsewhere: the page takes it up by itself, at once and again when the fit is there.
    const fresh = await drawingAfter(page, "#chart-limit", () => passed(4525, 1275));
    await expect.poll(() => fresh.last().getAttribute("class"), { timeout: 20_000 }).toContain("closer");
    await expect.poll(() => reading.textContent(), { timeout: 20_000 }).toMatch(/^4450 MHz at 1\.200 V/);
    await page.waitForFunction(() => document.querySelector("[data-later]") === null, null, {
      timeout: 60_000,
    });
    const drawing = page.locator("#chart-limit .drawing.closer");
    await drawing.waitFor();
    await drawing.focus();
    await page.keyboard.press("ArrowRight");
    await expect.poll(() => reading.textContent(), { timeout: 20_000 }).toMatch(/^4475 MHz at 1\.225 V/);

    // All of it again stays all of it.
    await page.keyboard.press("0");
    await page.locator("#chart-limit .drawing:not(.closer)").waitFor();
    await drawingAfter(page, "#chart-limit", () => passed(4525, 1262.5));
    await expect.poll(() => reading.textContent(), { timeout: 20_000 }).toMatch(/^4475 MHz at 1\.225 V/);
    expect(await page.locator("#chart-limit .drawing.closer").count()).toBe(0);
    expect(page.complaints).toEqual([]);
  }, 180_000);

  it("keeps the stretch and the moment of a heat run whose window is moved", async () => {
    const { url } = await served();
    const bench = await benchAt(url);
    const id = await bench.made(`/api/builds/${bench.build}/attempts`, {
      ...{ workloadId: bench.load, clockMhz: 4400, voltageMv: 1200, outcome: "pass", durationS: 1200 },
    });
    await fetch(`${url}/api/attempts/${id}/trace`, {
      method: "POST",
      headers: { "content-type": "text/csv" },
      body: madeLog(),
    });
    const page = await visitor();
    await page.goto(`${url}/heat/${id}`);
    const chart = "figure.chart.drawn";
    const reading = page.locator(`${chart} .reading`);
    await page.locator(`${chart} .drawing:not(.closer)`).focus();
    for (let closer = 0; closer < 3; closer++) await page.keyboard.press("+");
    await page.locator(`${chart} .drawing.closer`).waitFor();
    for (let far = 0; far < 5; far++) await page.keyboard.press("PageUp");
    await expect.poll(() => reading.textContent(), { timeout: 20_000 }).toMatch(/^10:\d\d/);
    const at = (await reading.textContent())?.slice(0, 5) as string;

    const window = page.locator("#field-fromS");
    const fresh = await drawingAfter(page, chart, async () => {
      await window.fill("600");
      await window.dispatchEvent("change");
    });
    await expect.poll(() => fresh.getAttribute("class"), { timeout: 20_000 }).toContain("closer");
    await expect.poll(() => reading.textContent(), { timeout: 20_000 }).toContain(at);
    expect(page.complaints).toEqual([]);
  }, 180_000);
});
