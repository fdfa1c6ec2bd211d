import type { Page } from "playwright-core";
import { expect, it } from "vitest";
import { benchAt } from "../support/benchAt.ts";
import { expectAccessible, journey, served, visitor } from "../support/browser.ts";
import { asServer, cardWorld } from "../support/settingWorlds.ts";

const sizes = [
  ["a phone", { viewport: { width: 360, height: 740 }, hasTouch: true }],
  ["a desk", { viewport: { width: 1280, height: 900 } }],
] as const;

async function seen(page: Page, step: string): Promise<void> {
  const wide = await page.evaluate(() => document.documentElement.scrollWidth - innerWidth);
  expect(wide, step).toBeLessThanOrEqual(0);
  if (process.env.PICTURES)
    await page.screenshot({ path: `${process.env.PICTURES}/correcting-${step}.png`, fullPage: true });
}

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
    await page.goto(`${url}/builds/${build}/attempts`);
    await page.getByRole("link", { name: "Correct several of them at once" }).click();
    await page.getByLabel("What was wrong").selectOption("ambientC");
    await page.getByRole("button", { name: "Choose attempts" }).click();
    await page.getByRole("link", { name: /^All 4 from/ }).click();
    await expect.poll(() => page.getByRole("checkbox", { checked: true }).count()).toBe(4);
    await seen(page, `${name}-chosen`);
    await expectAccessible(page);
    await page.locator("#field-ambientC").fill("21,5");
    await page.getByRole("button", { name: "See what it changes" }).click();
    await page.getByRole("heading", { name: "Room: 4 attempts would change" }).waitFor();
    await seen(page, `${name}-looked`);
    await expectAccessible(page);
    expect(await rooms()).toEqual([12, 12, 12, 12, 12]);
    await page.getByRole("button", { name: "Choose again" }).click();
    await expect.poll(() => page.getByRole("checkbox", { checked: true }).count()).toBe(4);
    await page.getByRole("checkbox").nth(0).uncheck();
    expect(await page.locator("#field-ambientC").inputValue()).toBe("21,5");
    await page.getByRole("button", { name: "See what it changes" }).click();
    await page.getByRole("button", { name: "Change 3 attempts" }).click();
    await page.getByText("Room was corrected in 3 attempts.").first().waitFor();
    await seen(page, `${name}-done`);
    expect(await rooms()).toEqual([12, 21.5, 21.5, 21.5, 12]);
    await page.getByRole("button", { name: "Undo" }).click();
    await expect.poll(rooms).toEqual([12, 12, 12, 12, 12]);
    await seen(page, `${name}-undone`);
    expect(page.complaints).toEqual([]);
  });
});

/** Three runs of a card with a power limit that was another, one of them above its ceiling. */
async function wrongLimit(url: string) {
  const server = asServer(url);
  const { rig, load } = await cardWorld(server);
  const { send } = server as { send(m: string, a: string, b: object): Promise<unknown> };
  const knobs = [{ "power-limit": 100, "memory-offset": 200 }, { "power-limit": 100 }, null];
  for (const [i, said] of knobs.entries())
    await send("POST", `/api/builds/${rig}/attempts`, {
      ...{ workloadId: load, offset: 120, outcome: "pass", durationS: 900, knobs: said },
      startedAt: `2020-11-23T${19 + i}:00:00.000Z`,
    });
  const stood = async () =>
    (await (await fetch(`${url}/api/builds/${rig}/attempts`)).json()).items.map(
      ({ knobs }: { knobs: object | null }) => knobs,
    );
  return { rig, stood, before: knobs.toReversed() };
}

journey("A wrong power limit for a whole evening", () => {
  it.each(sizes)(
    "is corrected by itself, above its ceiling only once that is meant, on %s",
    async (name, size) => {
      const { url } = await served();
      const { rig, stood, before } = await wrongLimit(url);
      const page = await visitor(size);
      await page.goto(`${url}/builds/${rig}/corrections`);
      await page.getByLabel("What was wrong").selectOption({ label: "Power limit" });
      await page.getByRole("button", { name: "Choose attempts" }).click();
      await page.getByRole("link", { name: /^All 3 from/ }).click();
      const apply = async (value: string) => {
        await page.getByLabel("Power limit").fill(value);
        await page.getByRole("button", { name: "See what it changes" }).click();
        await page.getByRole("heading", { name: "Power limit: 3 attempts would change" }).waitFor();
        await seen(page, `limit-${name}-${value}`);
        await page.getByRole("button", { name: "Change 3 attempts" }).click();
      };
      await seen(page, `limit-${name}`);
      await apply("120");
      await page
        .getByText(/lies above its ceiling of 115 %/)
        .first()
        .waitFor();
      await seen(page, `limit-${name}-refused`);
      await expectAccessible(page);
      expect(await stood()).toEqual(before);
      await page.getByLabel("It is meant").check();
      await apply("120");
      await page.getByText("Power limit was corrected in 3 attempts.").first().waitFor();
      const meant = { "power-limit": 120 };
      expect(await stood()).toEqual([meant, meant, { ...meant, "memory-offset": 200 }]);
      await page.getByRole("button", { name: "Undo" }).click();
      await expect.poll(stood).toEqual(before);
      expect(page.complaints).toEqual([]);
    },
  );
});
