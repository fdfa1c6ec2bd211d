import type { Page, Route } from "playwright-core";
import { expect, it } from "vitest";
import { expectArrival, screens } from "../support/arrival.ts";
import { benchAt } from "../support/benchAt.ts";
import { expectAccessible, journey, served, visitor } from "../support/browser.ts";
import type { Served } from "../support/serving.ts";

const portOf = ({ url }: Served): string => new URL(url).port;

/** The same journal at the same address, as after a restart of the machine that serves. */
const again = (gone: Served): Promise<Served> => served(gone.journal, ["--port", portOf(gone)]);

const waiting = /not kept yet; sent when the server answers/;

const stored = (page: Page) => page.evaluate(() => localStorage.getItem("owed"));

const timed = async (page: Page, atLeastS: number) =>
  expect
    .poll(async () => Number(await page.locator("[data-timer]").getAttribute("data-elapsed")))
    .toBeGreaterThanOrEqual(atLeastS);

journey("A timer whose worker cannot be fetched", () => {
  it("keeps time by the page itself", async () => {
    const { url } = await served();
    await benchAt(url);
    const page = await visitor();
    const refused: string[] = [];
    await page.route(/tickWorker/, (route) => {
      refused.push(route.request().url());
      return route.abort();
    });
    await page.goto(url);
    await page.getByRole("button", { name: "Arm this attempt" }).click();
    await expectArrival(page, { focused: /^timer$/ });
    await timed(page, 3);
    expect(refused).toHaveLength(1);
  });
});

for (const { name, options } of screens)
  journey(`An ending tapped while the server is away, ${name}`, () => {
    /** An armed run, a few seconds old, whose server has gone. */
    const runWithoutServer = async () => {
      const first = await served();
      const bench = await benchAt(first.url);
      const page = await visitor(options);
      await page.goto(first.url);
      await page.getByRole("button", { name: "Arm this attempt" }).click();
      await expectArrival(page, { focused: /^timer$/ });
      const [{ id }] = await bench.attemptsOf(bench.build);
      await timed(page, 2);
      await first.kill();
      return { first, page, id: id as string, ...bench };
    };

    it("is kept by the page, sent when the server answers again, and kept once", async () => {
      const { first, page, id, build, attemptsOf } = await runWithoutServer();
      await page.getByRole("button", { name: "Froze" }).click();
      await expectArrival(page, { focused: /^Froze after 00:\d\d, 4500 MHz at 1\.200 V/, said: waiting });
      const tappedS = Number(await page.locator("[data-timer]").getAttribute("data-elapsed"));
      if (options.viewport.width === 360) await expectAccessible(page);
      await page.waitForTimeout(2000);
      await again(first);
      await expectArrival(page, { focused: /^Kept: 4500 MHz at 1\.200 V froze/, said: /^Kept: / });
      expect(await page.locator("#owed").count()).toBe(0);
      expect(await stored(page)).toBeNull();
      expect(await attemptsOf(build)).toMatchObject([{ id, outcome: "freeze", durationS: tappedS }]);
      const { items } = await (await fetch(`${first.url}/api/attempts/${id}/history`)).json();
      expect(items).toHaveLength(1);
    });

    it("is sent after the page was closed and opened, from whatever page is opened", async () => {
      const { first, page, id, build, attemptsOf } = await runWithoutServer();
      await page.getByRole("button", { name: "Restarted" }).click();
      await expectArrival(page, { focused: /^Restarted after/, said: waiting });
      const [context, tappedS] = [
        page.context(),
        Number(await page.locator("[data-timer]").getAttribute("data-elapsed")),
      ];
      await page.close();
      await again(first);
      const opened = await context.newPage();
      await opened.goto(`${first.url}/parts`);
      await opened.locator("#owed").getByText("kept now").waitFor();
      expect(await attemptsOf(build)).toMatchObject([{ id, outcome: "restart", durationS: tappedS }]);
      await opened.goto(first.url);
      expect(await opened.locator("#owed").count()).toBe(0);
      expect(await attemptsOf(build)).toHaveLength(1);
    });

    it("is done once where the answer was lost on the way, and not again after it was undone", async () => {
      const first = await served();
      const { build, attemptsOf } = await benchAt(first.url);
      const page = await visitor(options);
      await page.goto(first.url);
      await page.getByRole("button", { name: "Arm this attempt" }).click();
      await expectArrival(page, { focused: /^timer$/ });
      const [{ id }] = await attemptsOf(build);
      let lost = 0;
      const loseTheAnswer = async (route: Route): Promise<void> => {
        lost += 1;
        await route.fetch({ maxRedirects: 0 });
        if (lost === 2) await fetch(`${first.url}/attempts/${id}/resumption`, { method: "POST" });
        await route.abort("connectionreset");
      };
      await page.route("**/ending", loseTheAnswer, { times: 2 });
      await page.getByRole("button", { name: "Froze" }).click();
      await expect.poll(() => lost).toBe(2);
      await expect.poll(() => stored(page)).toBeNull();
      expect(await attemptsOf(build)).toMatchObject([{ outcome: "running" }]);
      const { items } = await (await fetch(`${first.url}/api/attempts/${id}/history`)).json();
      expect(items).toHaveLength(2);
    });

    it("is told and can be thrown away where the attempt was ended elsewhere meanwhile", async () => {
      const { first, page, id, build, attemptsOf } = await runWithoutServer();
      await page.getByRole("button", { name: "Froze" }).click();
      await expectArrival(page, { focused: /^Froze/, said: waiting });
      const context = page.context();
      await page.close();
      await again(first);
      await fetch(`${first.url}/api/attempts/${id}`, {
        method: "PATCH",
        headers: { "content-type": "application/json" },
        body: JSON.stringify({ outcome: "too-hot", durationS: 2 }),
      });
      const opened = await context.newPage();
      await opened.goto(first.url);
      await expectArrival(opened, {
        focused: /not kept\. This attempt has ended already \(too hot after 2 s\)/,
      });
      if (options.viewport.width === 360) await expectAccessible(opened);
      await opened.reload();
      await opened.getByRole("button", { name: "Throw it away" }).click();
      await expect.poll(() => stored(opened)).toBeNull();
      expect(await opened.locator("#owed").count()).toBe(0);
      expect(await attemptsOf(build)).toMatchObject([{ outcome: "too-hot", durationS: 2 }]);
    });

    it("can be thrown away while it waits: the run goes on", async () => {
      const { first, page, build, attemptsOf } = await runWithoutServer();
      await page.getByRole("button", { name: "Froze" }).click();
      await expectArrival(page, { focused: /^Froze/, said: waiting });
      const stoodAt = Number(await page.locator("[data-timer]").getAttribute("data-elapsed"));
      await page.getByRole("button", { name: "Throw it away" }).click();
      await timed(page, stoodAt + 1);
      await again(first);
      expect(await stored(page)).toBeNull();
      expect(await attemptsOf(build)).toMatchObject([{ outcome: "running" }]);
    });

    it("asks with the time the page saw, and arms nothing without a word", async () => {
      const { first, page, build, attemptsOf } = await runWithoutServer();
      await timed(page, 3);
      await again(first);
      await page.reload();
      const saw = page.getByRole("button", { name: /^Use 00:\d\d, when this page last saw it/ });
      const [, second = ""] = /00:0(\d)/.exec((await saw.textContent()) ?? "") ?? [];
      await saw.click();
      await page.getByRole("button", { name: "Froze" }).click();
      await expectArrival(page, { focused: /^Kept: / });
      expect(await attemptsOf(build)).toMatchObject([{ outcome: "freeze", durationS: Number(second) }]);
    });

    it("tells that nothing answers when arming, and leaves what was typed", async () => {
      const first = await served();
      const { build, attemptsOf } = await benchAt(first.url);
      const page = await visitor(options);
      await page.goto(first.url);
      await page.locator("#field-clockMhz").fill("4711");
      await first.kill();
      await page.getByRole("button", { name: "Arm this attempt" }).click();
      await expectArrival(page, { focused: /The server does not answer/ });
      expect(await page.locator("#field-clockMhz").inputValue()).toBe("4711");
      await again(first);
      await page.getByRole("button", { name: "Arm this attempt" }).click();
      await expectArrival(page, { focused: /^timer$/ });
      expect(await attemptsOf(build)).toMatchObject([{ clockMhz: 4711, outcome: "running" }]);
    });
  });
