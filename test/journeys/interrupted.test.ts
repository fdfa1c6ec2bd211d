import { expect, it } from "vitest";
import { benchAt } from "../support/benchAt.ts";
import { expectAccessible, journey, served, visitor } from "../support/browser.ts";

journey("The machine goes down while an attempt runs", () => {
  it("keeps the armed attempt through a kill, and the next start asks how it ended", async () => {
    const first = await served();
    const { build, attemptsOf } = await benchAt(first.url);
    const page = await visitor();
    await page.goto(first.url);
    await page.getByRole("button", { name: "Arm this attempt" }).click();
    await page.getByLabel("This page runs on the machine under test").check();
    await expect.poll(() => page.locator(".kept").textContent()).toMatch(/Saved up to 00:0[1-9]/);
    expect(await attemptsOf(build)).toMatchObject([{ outcome: "running" }]);
    await first.kill();

    // The page says so as soon as nobody answers it.
    await expect
      .poll(() => page.locator(".kept").textContent())
      .toMatch(/does not answer: saved only up to 00:/);

    const second = await served(first.journal);
    await page.goto(second.url);
    expect(await page.locator("h1").textContent()).toMatch(/How did 4500.MHz at 1\.200.V end\?/);
    expect(await page.getByRole("button", { name: "Arm this attempt" }).count()).toBe(0);
    await expectAccessible(page);
    const offered = await page.getByLabel("It ran for").inputValue();
    expect(offered).toMatch(/^00:\d\d$/);
    await page.getByRole("button", { name: "Restarted" }).click();
    await page.locator(".note.done").waitFor();

    const [ended] = await (await benchless(second.url)).attemptsOf(build);
    expect(ended).toMatchObject({ outcome: "restart", durationS: Number(offered.slice(3)) });
    expect(ended.durationS).toBeGreaterThan(0);
    expect(await (await fetch(`${second.url}/api/interrupted`)).json()).toEqual({ items: [] });
    expect(await page.getByRole("button", { name: "Arm this attempt" }).count()).toBe(1);
  });

  it("takes up again what is in fact still running", async () => {
    const first = await served();
    await benchAt(first.url);
    const page = await visitor();
    await page.goto(first.url);
    await page.keyboard.press("a");
    await page.getByRole("timer").waitFor();
    await first.kill();
    const second = await served(first.journal);
    await page.goto(second.url);
    await page.getByRole("button", { name: "It is still running" }).click();
    await page.getByRole("timer").waitFor();
    expect(await page.locator("h1").textContent()).toMatch(/4500.MHz at 1\.200.V/);
  });
});

const benchless = async (url: string) => ({
  attemptsOf: async (build: string) =>
    // biome-ignore lint/suspicious/noExplicitAny: an answer is read by the test that asked for it
    ((await (await fetch(`${url}/api/builds/${build}/attempts`)).json()) as { items: any[] }).items,
});
