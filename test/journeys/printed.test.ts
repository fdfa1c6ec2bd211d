import { expect, it } from "vitest";
import { benchAt } from "../support/benchAt.ts";
import { journey, served, visitor } from "../support/browser.ts";

journey("Two builds on paper", () => {
  it("are their answer, pictures and tables, without ways to other pages and with nothing to fill in", async () => {
    const { url } = await served();
    const bench = await benchAt(url, { boards: ["Quay S", "Quay L"] });
    for (const [b, build] of bench.builds.entries())
      for (const clockMhz of [4400, 4425])
        await bench.made(`/api/builds/${build}/attempts`, {
          ...{ workloadId: bench.load, clockMhz: clockMhz + 25 * b, voltageMv: 1200, outcome: "pass" },
          durationS: 900,
        });
    const page = await visitor();
    await page.goto(`${url}/compare?a=${bench.builds[0]}&b=${bench.builds[1]}`);
    const seen = async () => ({
      ways: await page
        .getByText(/^(write it up|others|what each change did|Figures)$/)
        .filter({ visible: true })
        .count(),
      asked: await page.locator("main select, main button").filter({ visible: true }).count(),
      tables: await page.locator("main table").filter({ visible: true }).count(),
      told: await page.locator("h1").isVisible(),
    });
    expect(await seen()).toMatchObject({ ways: 4, told: true });
    await page.emulateMedia({ media: "print" });
    expect(await seen()).toEqual({ ways: 0, asked: 0, tables: 1, told: true });
  });
});
