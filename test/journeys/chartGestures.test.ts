import type { Page } from "playwright-core";
import { expect, it } from "vitest";
import { benchAt } from "../support/benchAt.ts";
import { journey, served, visitor } from "../support/browser.ts";
import { madeLog } from "../support/madeLog.ts";

/** Two builds with attempts at five voltages each, and a sensor log on one run of each. */
async function chartedBench(url: string) {
  const bench = await benchAt(url, { boards: ["Quay S", "Quay L"] });
  const runs: string[] = [];
  for (const [b, build] of bench.builds.entries()) {
    for (const [i, voltageMv] of [1150, 1175, 1200, 1225, 1250].entries())
      for (const [step, outcome] of (["pass", "freeze"] as const).entries()) {
        const id = await bench.made(`/api/builds/${build}/attempts`, {
          ...{ workloadId: bench.load, clockMhz: 4400 + 25 * (i + b + step), voltageMv, outcome },
          durationS: 1200,
        });
        if (i === 0 && outcome === "pass") runs.push(id);
      }
  }
  for (const id of runs)
    await fetch(`${url}/api/attempts/${id}/trace`, {
      ...{ method: "POST", headers: { "content-type": "text/csv" }, body: madeLog() },
    });
  const [a, b] = bench.builds;
  return [
    ["the limit of a build", `/builds/${a}`, "#chart-limit"],
    ["two builds", `/compare?a=${a}&b=${b}`, "#chart-frontiers"],
    ["heat runs over one another", `/heat?runs=${runs.join(",")}`, "#chart-overlay"],
    ["one heat run", `/heat/${runs[0]}`, "figure.chart.drawn"],
  ] as const;
}

async function drawingOn(page: Page, address: string, chart: string) {
  await page.goto(address);
  await page.waitForFunction(() => document.querySelector("main [data-later]") === null, null, {
    timeout: 60_000,
  });
  const drawing = page.locator(`${chart} .drawing`).last();
  await drawing.scrollIntoViewIfNeeded();
  const over = drawing.locator(".u-over");
  await over.waitFor();
  const isCloser = async () => ((await drawing.getAttribute("class")) ?? "").includes("closer");
  return { drawing, over, isCloser, reading: page.locator(`${chart} .reading`) };
}

journey("Every chart that is drawn", () => {
  it("is looked at closer with the wheel and Ctrl, read under the pointer, and whole again by two clicks", async () => {
    const { url } = await served();
    const charts = await chartedBench(url);
    const page = await visitor();
    for (const [what, address, chart] of charts) {
      const { over, isCloser, reading } = await drawingOn(page, url + address, chart);
      // Values with their units, where the crosshair stands: of a line under it, of a mark near it.
      const { x, y, width, height } = (await over.boundingBox())!;
      for (let at = 0; at < 400 && (await reading.textContent()) === ""; at++)
        await page.mouse.move(x + (width * (at % 20)) / 20, y + (height * Math.floor(at / 20)) / 20);
      expect([what, await reading.textContent()]).toEqual([
        what,
        expect.stringMatching(/\d\u00a0?\s?(MHz|°C)/),
      ]);
      await page.mouse.wheel(0, -200);
      await page.waitForTimeout(200);
      expect([what, await isCloser()]).toEqual([what, false]);
      await over.scrollIntoViewIfNeeded();
      const now = (await over.boundingBox())!;
      await page.mouse.move(now.x + now.width / 2, now.y + now.height / 2);
      await page.keyboard.down("Control");
      await page.mouse.wheel(0, -200);
      await page.keyboard.up("Control");
      await expect.poll(isCloser, { message: what }).toBe(true);
      await over.dblclick();
      await expect.poll(isCloser, { message: what }).toBe(false);
    }
    expect(page.complaints).toEqual([]);
  }, 240_000);

  it("is looked at closer with two fingers and by keys, on a phone", async () => {
    const { url } = await served();
    const charts = await chartedBench(url);
    const page = await visitor({ viewport: { width: 360, height: 740 }, hasTouch: true });
    const fingers = await page.context().newCDPSession(page);
    const touch = (type: "touchStart" | "touchMove" | "touchEnd", at: readonly number[], y: number) =>
      fingers.send("Input.dispatchTouchEvent", { type, touchPoints: at.map((x, id) => ({ x, y, id })) });
    for (const [what, address, chart] of charts) {
      const { drawing, over, isCloser, reading } = await drawingOn(page, url + address, chart);
      const { x, y, width, height } = (await over.boundingBox())!;
      const [middle, level] = [x + width / 2, y + height / 2];
      await touch("touchStart", [middle - 20, middle + 20], level);
      for (const apart of [30, 45, 60, 80]) await touch("touchMove", [middle - apart, middle + apart], level);
      await touch("touchEnd", [], level);
      await expect.poll(isCloser, { message: what }).toBe(true);

      await drawing.focus();
      await page.keyboard.press("0");
      await expect.poll(isCloser, { message: what }).toBe(false);
      await page.keyboard.press("+");
      await expect.poll(isCloser, { message: what }).toBe(true);
      await page.keyboard.press("ArrowRight");
      await expect.poll(() => reading.textContent(), { message: what }).toMatch(/\d\u00a0?\s?(MHz|°C)/);
      await page.keyboard.press("-");
      await expect.poll(isCloser, { message: what }).toBe(false);
    }
    expect(page.complaints).toEqual([]);
  }, 240_000);
});
