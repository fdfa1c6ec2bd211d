import { expect, it } from "vitest";
import { benchAt } from "../support/benchAt.ts";
import { expectAccessible, journey, served, visitor } from "../support/browser.ts";

const phone = { viewport: { width: 360, height: 740 }, hasTouch: true };

journey("A noise reading near the background", () => {
  it("is kept in two taps on a phone, and called an upper bound at once", async () => {
    const { url } = await served();
    const { build, load, made } = await benchAt(url);
    await made(`/api/builds/${build}/attempts`, {
      workloadId: load,
      clockMhz: 4500,
      voltageMv: 1200,
      outcome: "pass",
      durationS: 900,
    });
    await made(`/api/builds/${build}/noise`, { levelsDba: [39, 39.4], backgroundDba: 31, distanceM: 0.5 });
    const page = await visitor(phone);
    await page.goto(`${url}/noise?build=${build}`);
    await expectAccessible(page);

    // The first tap opens the keyboard on the levels, the second keeps them: all else stands as it was.
    await page.getByLabel("Levels", { exact: false }).first().tap();
    await page.keyboard.type("33.1 33.4 33.2");
    await page.getByRole("button", { name: "Keep the reading" }).tap();

    await expect
      .poll(() => page.locator("main").getByRole("status").textContent())
      .toContain("upper bound: too near the background");
    const { items } = await (await fetch(`${url}/api/builds/${build}/noise`)).json();
    expect(items[0]).toMatchObject({
      levelsDba: [33.1, 33.4, 33.2],
      backgroundDba: 31,
      distanceM: 0.5,
      workloadId: load,
      clockMhz: 4500,
      correction: "upper-bound",
    });
    expect(await page.locator(`#reading-${items[0].id}`).textContent()).toContain("≤ 31.9");
    expect(await page.evaluate(() => document.documentElement.scrollWidth <= innerWidth)).toBe(true);
    await expectAccessible(page);
    expect(page.complaints).toEqual([]);
  });

  it("is kept, changed, deleted and brought back without script", async () => {
    const { url } = await served();
    const { build } = await benchAt(url);
    const page = await visitor({ ...phone, javaScriptEnabled: false });
    await page.goto(`${url}/noise?build=${build}`);
    await page.getByLabel("Levels", { exact: false }).first().fill("38,2 38,5");
    await page.getByRole("button", { name: "Keep the reading" }).click();
    // Without a distance it is refused, and the levels still stand there.
    expect(await page.getByRole("alert").textContent()).toBeTruthy();
    expect(await page.locator("#field-levelsDba").inputValue()).toBe("38,2 38,5");
    await page.locator("#field-distanceM").fill("50 cm");
    await page.getByRole("button", { name: "Keep the reading" }).click();
    await page.locator("#readings a").first().click();
    await page.locator("#field-backgroundDba").fill("30");
    await page.getByRole("button", { name: "Save" }).click();
    const readings = async () =>
      (await (await fetch(`${url}/api/builds/${build}/noise`)).json()).items as { correction: string }[];
    expect(await readings()).toMatchObject([
      { levelsDba: [38.2, 38.5], distanceM: 0.5, correction: "applied" },
    ]);
    await page.locator("#readings a").first().click();
    await page.getByRole("button", { name: "Delete this reading" }).click();
    expect(await readings()).toEqual([]);
    await page.getByRole("button", { name: "Bring it back" }).click();
    expect(await readings()).toHaveLength(1);
  });
});
