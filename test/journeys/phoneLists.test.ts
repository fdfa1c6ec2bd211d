import { expect, it } from "vitest";
import { measured } from "../look/measures.ts";
import { journey, served, visitor } from "../support/browser.ts";

const phone = { viewport: { width: 360, height: 740 }, hasTouch: true, timezoneId: "UTC" };
type Things = { items: { id: string; name: string }[] };

journey("Lists on a phone", () => {
  it("tell an attempt and a build in two lines each, and keep the pages of heat and of two builds short", async () => {
    const { url } = await served(undefined, ["--demo"]);
    const page = await visitor(phone);
    // What runs in the page was named by the transpiler, which asks for this.
    await page.addInitScript("globalThis.__name = (named) => named");
    const { items } = (await (await fetch(`${url}/api/builds`)).json()) as Things;
    const rowsOn = async (address: string) => {
      await page.goto(url + address);
      await page.waitForFunction(() => !document.querySelector("main [data-later]"));
      const { tall, sideways, height } = await measured(page);
      expect([address, tall, Math.max(0, sideways)]).toEqual([address, [], 0]);
      return { height, rows: await page.locator("main tbody tr").count() };
    };

    for (const { id } of items) expect((await rowsOn(`/builds/${id}/attempts`)).rows).toBeGreaterThan(3);
    // What is folded away is a tap away, on a target as large as a thumb, and says all of it.
    const fold = page.locator("tr", { hasText: "36-38-38-76" }).locator("details.rest").first();
    await page.goto(`${url}/builds/${items.find(({ name }) => name === "Set A on Quay M")?.id}/attempts`);
    const target = await fold.locator("summary").boundingBox();
    expect(Math.min(target?.width ?? 0, target?.height ?? 0)).toBeGreaterThanOrEqual(44);
    const isOpen = () => fold.evaluate((rest) => (rest as HTMLDetailsElement).open);
    expect(await isOpen()).toBe(false);
    await fold.locator("summary").tap();
    expect(await isOpen()).toBe(true);
    expect(await fold.textContent()).toContain("Controller voltage 1.15\u00a0V");
    expect((await rowsOn("/builds")).rows).toBe(items.length);
    expect((await rowsOn("/heat")).height).toBeLessThan(4_000);
    const [a, b] = ["Open frame, Quay S", "Open frame, Quay L"].map(
      (name) => items.find((build) => build.name === name)?.id,
    );
    expect((await rowsOn(`/compare?a=${a}&b=${b}`)).height).toBeLessThan(5_000);
    expect(page.complaints).toEqual([]);
  }, 240_000);

  it("keep a unit beside its figure, and a fold's title of two lines off the rule below", async () => {
    const { url } = await served(undefined, ["--demo"]);
    const page = await visitor(phone);
    const { items } = (await (await fetch(`${url}/api/builds`)).json()) as Things;
    await page.goto(`${url}/parts`);
    const figure = page.locator("td[data-head^=Held][data-unit]").first();
    expect(await figure.evaluate((cell) => getComputedStyle(cell, "::after").content)).toMatch(/^"\u00a0/);
    await page.goto(`${url}/builds/${items[0]?.id}/edit`);
    const room = await page.getByText("Orientation, memory, supply, firmware").evaluate((title) => {
      const words = document.createRange();
      words.selectNodeContents(title);
      const [line] = words.getClientRects();
      return {
        high: words.getBoundingClientRect().height / (line?.height ?? Number.NaN),
        words: words.getBoundingClientRect().bottom,
        end: title.getBoundingClientRect().bottom,
      };
    });
    expect(room.high).toBeGreaterThan(1.5);
    expect(room.end - room.words).toBeGreaterThan(4);
  }, 120_000);
});
