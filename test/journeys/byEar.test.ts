import type { Page } from "playwright-core";
import { expect, it } from "vitest";
import { benchAt } from "../support/benchAt.ts";
import { journey, served, visitor } from "../support/browser.ts";

/** What the page has said by itself, as a screen reader hears it. */
const said = (page: Page) => page.locator("#said").textContent();

const described = (page: Page, selector: string) =>
  page.locator(selector).evaluate((field) =>
    (field.getAttribute("aria-describedby") ?? "")
      .split(" ")
      .map((id) => document.getElementById(id)?.textContent ?? "")
      .join(" "),
  );

journey("The bench by ear", () => {
  it("names what is there, says what a press did, and tells a wrong field by its state and its reason", async () => {
    const { url } = await served();
    const bench = await benchAt(url);
    for (const clockMhz of [4400, 4425])
      await bench.made(`/api/builds/${bench.build}/attempts`, {
        ...{ workloadId: bench.load, clockMhz, voltageMv: 1200, outcome: "pass", durationS: 900 },
        ...{ loadTempC: 70, ambientC: 22 },
      });
    const page = await visitor();
    await page.goto(url);
    await page.locator(".late[data-later]").waitFor({ state: "detached" });

    expect(await page.getByRole("navigation", { name: "Pages" }).count()).toBe(1);
    expect(await page.getByRole("main").count()).toBe(1);
    expect(await page.getByRole("heading", { level: 1 }).textContent()).toMatch(/^Next: /);
    const link = page.getByRole("link", { name: "Bench", exact: true });
    expect(await link.getAttribute("aria-current")).toBe("page");
    const clock = page.getByRole("textbox", { name: "Clock", exact: true });
    expect(await clock.getAttribute("aria-keyshortcuts")).toBe("c");
    expect(await described(page, "#field-clockMhz")).toContain("MHz");
    expect(await page.getByRole("combobox", { name: "Load", exact: true }).count()).toBe(1);
    const arm = page.getByRole("button", { name: "Arm this attempt", exact: true });
    expect(await arm.getAttribute("aria-keyshortcuts")).toBe("a Control+Enter");

    await clock.fill("fast");
    await arm.press("Enter");
    await expect.poll(() => clock.getAttribute("aria-invalid"), { timeout: 20_000 }).toBe("true");
    expect(await described(page, "#field-clockMhz")).toMatch(/must be a number/);
    expect(await page.getByRole("alert").first().textContent()).toMatch(/must be a number/);

    await clock.fill("4450");
    await arm.press("Enter");
    await expect.poll(() => said(page), { timeout: 20_000 }).toMatch(/^4450 MHz at [\d.]+ V is running\.$/);
    expect(await page.getByRole("timer").count()).toBe(1);
    await page.getByRole("button", { name: "Froze", exact: true }).press("Enter");
    await expect
      .poll(() => said(page), { timeout: 20_000 })
      .toMatch(/^Kept: 4450 MHz at [\d.]+ V froze( after .*)?\.$/);
    await page.getByRole("button", { name: "Undo", exact: true }).press("Enter");
    await expect.poll(() => said(page), { timeout: 20_000 }).toMatch(/is running\.$/);
    expect(page.complaints).toEqual([]);
  });

  it("reads a chart out mark by mark, and leads to the attempts behind the one read", async () => {
    const { url } = await served();
    const bench = await benchAt(url);
    for (const [i, outcome] of (["pass", "pass", "freeze"] as const).entries())
      await bench.made(`/api/builds/${bench.build}/attempts`, {
        ...{ workloadId: bench.load, clockMhz: 4400 + 25 * i, voltageMv: 1200, outcome, durationS: 900 },
      });
    const page = await visitor();
    await page.goto(`${url}/builds/${bench.build}`);
    // The fit swaps the chart in anew, and the focus would go with the old one.
    await page.waitForFunction(() => document.querySelector("[data-later]") === null, null, {
      timeout: 60_000,
    });
    await page.locator("#chart-limit canvas").first().waitFor();
    const chart = page.getByRole("application", { name: /plus and minus look closer/ });
    await chart.focus();
    const reading = page.locator("#chart-limit .reading");
    expect(await reading.getAttribute("aria-live")).toBe("polite");
    await page.keyboard.press("ArrowRight");
    await expect
      .poll(() => reading.textContent(), { timeout: 20_000 })
      .toMatch(/^4400 MHz at 1\.200 V: passed/);
    for (let i = 0; i < 2; i++) await page.keyboard.press("ArrowRight");
    await expect
      .poll(() => reading.textContent(), { timeout: 20_000 })
      .toMatch(/^4450 MHz at 1\.200 V: crashed/);
    await page.keyboard.press("Enter");
    await page.waitForURL(/\/attempts\?clockMhz=4450&voltageMv=1200/);
    expect(page.complaints).toEqual([]);
  });
});
