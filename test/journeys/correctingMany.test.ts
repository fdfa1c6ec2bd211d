import { expect, it } from "vitest";
import { benchAt } from "../support/benchAt.ts";
import { expectAccessible, journey, served, visitor } from "../support/browser.ts";

const sizes = [
  ["a phone", { viewport: { width: 360, height: 740 }, hasTouch: true }],
  ["a desk", { viewport: { width: 1280, height: 900 } }],
] as const;

/** An evening of four attempts written down with the wrong room, and one attempt of the day before. */
async function wrongRoom(url: string) {
  const bench = await benchAt(url);
  const { build, load, made } = bench;
  const tried = (startedAt: string, clockMhz: number) =>
    made(`/api/builds/${build}/attempts`, {
      ...{ workloadId: load, clockMhz, voltageMv: 1200, outcome: "pass", durationS: 900 },
      ...{ ambientC: 12, loadTempC: 70, startedAt },
    });
  await tried("2020-11-22T19:00:00.000Z", 4500);
  for (let i = 0; i < 4; i++) await tried(`2020-11-23T${19 + i}:00:00.000Z`, 4500 + 25 * i);
  const rooms = async () => (await bench.attemptsOf(build)).map(({ ambientC }) => ambientC);
  return { ...bench, rooms };
}

journey("A wrong room for a whole evening", () => {
  it.each(sizes)("is corrected at once, looked at first and undone, on %s", async (name, size) => {
    const { url } = await served();
    const { build, rooms } = await wrongRoom(url);
    const page = await visitor(size);
    const seen = async (step: string) => {
      const wide = await page.evaluate(() => document.documentElement.scrollWidth - innerWidth);
      expect(wide, step).toBeLessThanOrEqual(0);
      if (process.env.PICTURES)
        await page.screenshot({
          path: `${process.env.PICTURES}/correcting-${name}-${step}.png`,
          fullPage: true,
        });
    };
    await page.goto(`${url}/builds/${build}/attempts`);
    await page.getByRole("link", { name: "Correct several of them at once" }).click();
    await page.getByLabel("What was wrong").selectOption("ambientC");
    await page.getByRole("button", { name: "Choose attempts" }).click();
    await page.getByRole("link", { name: /^All 4 from/ }).click();
    await expect.poll(() => page.getByRole("checkbox", { checked: true }).count()).toBe(4);
    await seen("chosen");
    await expectAccessible(page);
    await page.locator("#field-ambientC").fill("21,5");
    await page.getByRole("button", { name: "See what it changes" }).click();
    await page.getByRole("heading", { name: "Room: 4 attempts would change" }).waitFor();
    await seen("looked");
    await expectAccessible(page);
    expect(await rooms()).toEqual([12, 12, 12, 12, 12]);
    await page.getByRole("button", { name: "Choose again" }).click();
    await expect.poll(() => page.getByRole("checkbox", { checked: true }).count()).toBe(4);
    await page.getByRole("checkbox").nth(0).uncheck();
    expect(await page.locator("#field-ambientC").inputValue()).toBe("21,5");
    await page.getByRole("button", { name: "See what it changes" }).click();
    await page.getByRole("button", { name: "Change 3 attempts" }).click();
    await page.getByText("Room was corrected in 3 attempts.").first().waitFor();
    await seen("done");
    expect(await rooms()).toEqual([12, 21.5, 21.5, 21.5, 12]);
    await page.getByRole("button", { name: "Undo" }).click();
    await expect.poll(rooms).toEqual([12, 12, 12, 12, 12]);
    await seen("undone");
    expect(page.complaints).toEqual([]);
  });
});
