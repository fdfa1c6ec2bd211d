import { readFileSync } from "node:fs";
import type { Page } from "playwright-core";
import { expect, it } from "vitest";
import { benchAt } from "../support/benchAt.ts";
import { journey, served, visitor } from "../support/browser.ts";

async function saved(page: Page, name: string): Promise<Buffer> {
  const [download] = await Promise.all([
    page.waitForEvent("download"),
    page.getByRole("button", { name, exact: true }).first().click(),
  ]);
  return readFileSync(await download.path());
}

/** What a chart says and where its marks and lines run, in order. */
const drawnIn = (svg: string): readonly string[] =>
  [...svg.matchAll(/<text[^>]*>(.*?)<\/text>| d="([^"]*)"/gs)].map(
    ([, words, path]) => path ?? (words ?? "").replace(/<[^>]*>/g, ""),
  );

/** How far two pictures differ, the most of any pixel's red, green and blue; and how many different colours the first has. */
const apart = (page: Page, first: string, second: string) =>
  page.evaluate(
    async (addresses) => {
      const pixelsOf = async (address: string): Promise<Uint8ClampedArray> => {
        const image = new Image();
        image.src = address;
        await image.decode();
        const canvas = Object.assign(document.createElement("canvas"), { width: 790, height: 400 });
        const context = canvas.getContext("2d");
        context?.drawImage(image, 0, 0, 790, 400);
        return context?.getImageData(0, 0, 790, 400).data ?? new Uint8ClampedArray();
      };
      const [a, b] = [await pixelsOf(addresses[0] as string), await pixelsOf(addresses[1] as string)];
      const different = a.reduce(
        (count, value, i) => count + (Math.abs(value - (b[i] ?? 0)) > 96 ? 1 : 0),
        0,
      );
      const colours = new Set(
        Array.from({ length: a.length / 4 }, (_, i) => a.slice(4 * i, 4 * i + 3).join()),
      );
      return { share: different / a.length, colours: colours.size };
    },
    [first, second],
  );

journey("A chart that is kept", () => {
  it("is the chart of the page, as SVG and as PNG, in the colours it is seen in", async () => {
    const { url } = await served();
    const bench = await benchAt(url);
    for (const [i, outcome] of (["pass", "pass", "freeze"] as const).entries())
      await bench.made(`/api/builds/${bench.build}/attempts`, {
        ...{ workloadId: bench.load, clockMhz: 4400 + 25 * i, voltageMv: 1200, outcome, durationS: 900 },
      });
    const page = await visitor({ acceptDownloads: true });
    await page.goto(`${url}/builds/${bench.build}`);
    await page.waitForFunction(() => document.querySelector("[data-later]") === null, null, {
      timeout: 60_000,
    });
    const shown = await page.locator("#chart-limit .still.wide svg, #chart-limit .still svg").first();
    const seen = await shown.evaluate((svg) => svg.outerHTML);
    const svg = (await saved(page, "save SVG")).toString("utf8");
    expect(drawnIn(svg)).toEqual(drawnIn(seen));
    expect(drawnIn(svg).join(" ")).toMatch(/crashed/);
    expect(svg).not.toContain("var(");
    const png = await saved(page, "save PNG");
    expect(png.subarray(1, 4).toString()).toBe("PNG");
    const address = (type: string, bytes: Buffer) => `data:${type};base64,${bytes.toString("base64")}`;
    const { share, colours } = await apart(
      page,
      address("image/png", png),
      address("image/svg+xml", Buffer.from(svg)),
    );
    expect(share).toBeLessThan(0.005);
    expect(colours).toBeGreaterThan(20);
    expect(page.complaints).toEqual([]);
  }, 120_000);

  it("is as close as it is looked at, and keeps the focus where the whole record redraws it", async () => {
    const { url } = await served();
    const bench = await benchAt(url);
    for (const [i, voltageMv] of [1150, 1175, 1200, 1225, 1250].entries())
      await bench.made(`/api/builds/${bench.build}/attempts`, {
        ...{ workloadId: bench.load, clockMhz: 4400 + 25 * i, voltageMv, outcome: "pass", durationS: 900 },
      });
    const page = await visitor({ acceptDownloads: true });
    let letGo = (): void => undefined;
    const held = new Promise<void>((resolve) => {
      letGo = resolve;
    });
    await page.route("**/limit?*", async (route) => {
      await held;
      await route.continue();
    });
    await page.goto(`${url}/builds/${bench.build}`);
    const drawing = page.locator("#chart-limit .drawing");
    await drawing.waitFor();
    await drawing.focus();
    await drawing.evaluate((first) => first.setAttribute("data-first", ""));
    letGo();
    await page.waitForFunction(() => document.querySelector("[data-later]") === null, null, {
      timeout: 60_000,
    });
    await page.locator("#chart-limit .drawing:not([data-first])").waitFor();
    await expect
      .poll(() => page.evaluate(() => document.activeElement?.className), { timeout: 20_000 })
      .toContain("drawing");
    const whole = (await saved(page, "save SVG")).toString("utf8");
    expect(whole).not.toContain("clip-path");
    await page.locator("#chart-limit .drawing").focus();
    for (let closer = 0; closer < 5; closer++) await page.keyboard.press("+");
    await page.locator("#chart-limit .drawing.closer").waitFor();
    const close = (await saved(page, "save SVG")).toString("utf8");
    expect(close).toContain("clip-path");
    const voltagesIn = (svg: string) => drawnIn(svg).filter((words) => /^1\.\d+$/.test(words));
    expect(voltagesIn(close).length).toBeGreaterThan(0);
    const ends = (svg: string) => voltagesIn(svg).map(Number);
    expect(Math.max(...ends(close)) - Math.min(...ends(close))).toBeLessThan(
      (Math.max(...ends(whole)) - Math.min(...ends(whole))) / 2,
    );
    expect((await saved(page, "save PNG")).subarray(1, 4).toString()).toBe("PNG");
    expect(page.complaints).toEqual([]);
  }, 120_000);
});
