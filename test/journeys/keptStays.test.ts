import type { Route } from "playwright-core";
import { expect, it } from "vitest";
import { expectArrival, screens } from "../support/arrival.ts";
import { benchAt } from "../support/benchAt.ts";
import { journey, served, visitor } from "../support/browser.ts";

const [{ options }] = screens;

const promised = () => {
  let keep = (): void => undefined;
  const kept = new Promise<void>((resolve) => {
    keep = resolve;
  });
  return { kept, keep };
};

journey("A page that goes on by itself while an ending is answered", () => {
  it("leaves what was kept on the page, whichever answer comes last", async () => {
    const first = await served();
    await benchAt(first.url);
    const page = await visitor(options);
    await page.goto(first.url);
    await page.getByRole("button", { name: "Arm this attempt" }).click();
    await expectArrival(page, { focused: /^timer$/ });
    const [onItsWay, answered] = [promised(), promised()];
    await page.route("**/ending", async (route: Route) => {
      await route.fetch({ maxRedirects: 0 });
      await onItsWay.kept;
      await route.continue();
    });
    await page.route(/\/\?build=[^&]*$/, async (route: Route) => {
      const told = await route.fetch();
      onItsWay.keep();
      await answered.kept;
      await route.fulfill({ response: told });
    });
    await page.getByRole("button", { name: "Froze" }).click();
    await expectArrival(page, { focused: /^Kept: / });
    const late = page.waitForResponse(/\/\?build=[^&]*$/);
    answered.keep();
    await (await late).finished();
    await page.waitForTimeout(1000);
    await expectArrival(page, { focused: /^Kept: /, said: /^Kept: / });
  });
});

journey("A page that listens for changes only after its reader has pressed a key", () => {
  it("leaves what was kept on the page when it hears of it", async () => {
    const first = await served();
    const { build, attemptsOf } = await benchAt(first.url);
    const page = await visitor(options);
    const listening = promised();
    await page.route(/\/web\/live-/, async (route: Route) => {
      await listening.kept;
      await route.continue();
    });
    await page.goto(first.url);
    await page.keyboard.press("p");
    await expectArrival(page, { focused: /^Kept: / });
    expect(await attemptsOf(build)).toHaveLength(1);
    const asked = page.waitForResponse(/\/(\?build=.*)?$/);
    listening.keep();
    await (await asked).finished();
    await page.waitForTimeout(1000);
    await expectArrival(page, { focused: /^Kept: / });
  });
});

journey("A piece that a page asks for by itself", () => {
  it("stays as it is where the answer is a failure, and comes anew with the next one", async () => {
    const first = await served();
    await benchAt(first.url);
    const page = await visitor(options);
    await page.goto(first.url);
    const failing = async (route: Route): Promise<void> =>
      route.fulfill({ status: 429, contentType: "text/html", body: "<main><h1>Too many</h1></main>" });
    await page.route("**/bench/forecast?*", failing, { times: 1 });
    const failed = page.waitForResponse("**/bench/forecast?*");
    const clock = page.locator("#field-clockMhz");
    await clock.fill("4525");
    await clock.press("Tab");
    expect((await failed).status()).toBe(429);
    const answered = page.waitForResponse("**/bench/forecast?*");
    await clock.fill("4550");
    await clock.press("Tab");
    expect((await answered).status()).toBe(200);
    await page.locator("#dialled", { hasText: "4550" }).waitFor();
    await page.getByRole("button", { name: "Arm this attempt" }).click();
    await expectArrival(page, { focused: /^timer$/ });
    await page.route("**/live**", failing, { times: 1 });
    await page.waitForResponse((response) => response.url().includes("/live") && response.status() === 429);
    expect(await page.locator("#live-heat").count()).toBe(1);
    await page.waitForResponse((response) => response.url().includes("/live") && response.status() === 200);
    await expectArrival(page, { focused: /^timer$/ });
    expect(await page.getByText("Too many").count()).toBe(0);
  });
});
