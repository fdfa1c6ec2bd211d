import { expect, it } from "vitest";
import { addressOf, everyPage } from "../look/addresses.ts";
import { expectAccessible, journey, served, visitor } from "../support/browser.ts";

type Things = { items: { id: string; name: string }[] };

journey("Every page of the demo", () => {
  it.each([0, 1, 2, 3])(
    "answers with one heading, no sideways scroll, no script in the page, and nothing for axe to find in either theme (each fourth from %i on)",
    async (share) => {
      const { url } = await served(undefined, ["--demo"]);
      const page = await visitor({ viewport: { width: 1280, height: 900 } });
      const pages = await everyPage(url);
      for (const one of pages.filter((_, at) => at % 4 === share)) {
        const address = await addressOf(one);
        await page.setViewportSize({ width: 360, height: 740 });
        const answer = await page.goto(url + address);
        expect([address, answer?.status()]).toEqual([address, 200]);
        expect([address, await page.locator("h1").count()]).toEqual([address, 1]);
        const inline = await page.locator("script:not([src]):not([type='application/json'])").count();
        expect([address, inline]).toEqual([address, 0]);
        const over = await page.evaluate(() => document.documentElement.scrollWidth - innerWidth);
        expect([address, over <= 0]).toEqual([address, true]);
        await page.setViewportSize({ width: 1280, height: 900 });
        await expectAccessible(page);
        expect(await page.getByText("demo, invented data").count()).toBeGreaterThan(0);
      }
      expect(page.complaints).toEqual([]);
    },
    600_000,
  );

  it("tells which of two boards goes further, and shows the difference in the picture and the table", async () => {
    const { url } = await served(undefined, ["--demo"]);
    const { items } = (await (await fetch(`${url}/api/builds`)).json()) as Things;
    const named = (name: string) => items.find((build) => build.name === name)?.id;
    const page = await visitor();
    await page.goto(`${url}/compare?a=${named("Open frame, Quay L")}&b=${named("Cupboard, Quay S")}`);
    // The page does not wait for the limits; it swaps them in.
    await page.getByText("Bands: where each limit lies").waitFor();
    await expect.poll(() => page.locator("h1").textContent()).toMatch(/^Open frame, Quay L goes .* step/);
    await page.getByRole("cell", { name: "differs" }).first().waitFor();
    expect(page.complaints).toEqual([]);
  });
});
