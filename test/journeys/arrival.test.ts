import type { Page } from "playwright-core";
import { expect, it } from "vitest";
import { expectArrival, screens } from "../support/arrival.ts";
import { benchAt } from "../support/benchAt.ts";
import { journey, served, stream, visitor } from "../support/browser.ts";

const endings = [
  "Stopped, no fault",
  "Froze",
  "Restarted",
  "System error",
  "Wrong result",
  "Load closed itself",
  "Driver reset",
  "No start",
  "Fell back to defaults",
  "Too hot",
  "Power cut",
  "Disturbed",
];

/** A bench with a day behind it, long enough to be lost on. */
async function longBench(url: string) {
  const bench = await benchAt(url);
  for (let i = 0; i < 20; i++)
    await bench.made(`/api/builds/${bench.build}/attempts`, {
      ...{ workloadId: bench.load, clockMhz: 4000 + 25 * i, voltageMv: 1200, outcome: "pass" },
      ...{ durationS: 900, ambientC: 22, loadTempC: 60 + i, note: "the door stood open" },
    });
  return bench;
}

const arm = (page: Page) => page.getByRole("button", { name: "Arm this attempt" }).click();

for (const { name, options } of screens)
  journey(`What changed is in view and has the focus, ${name}`, () => {
    it("the timer after arming, the note after each ending, the timer after undoing", async () => {
      const { url } = await served();
      await longBench(url);
      const page = await visitor(options);
      await page.goto(url);
      await arm(page);
      await expectArrival(page, { focused: /^timer$/, said: /is running\.$/ });
      for (const ending of endings) {
        await page.getByRole("button", { name: ending }).click();
        await expectArrival(page, { focused: /^Kept: /, said: /^Kept: \d+ MHz at 1\.\d+ V / });
        await page.getByRole("button", { name: /^Undo/ }).click();
        await expectArrival(page, { focused: /^timer$/, said: /is running\.$/ });
      }
      expect(page.complaints).toEqual([]);
    }, 180_000);

    it("the field that was refused, with what is wrong beside it and everything as it was typed", async () => {
      const { url } = await served();
      await longBench(url);
      const page = await visitor(options);
      await page.goto(url);
      await page.getByText("More about it").click();
      await page.locator("#field-ambientC").fill("21,5");
      await page.locator("#field-voltageMv").fill("much");
      await arm(page);
      await expectArrival(page, { focused: /^field-voltageMv$/ });
      expect(await page.getByRole("alert").isVisible()).toBe(true);
      expect(await page.locator("#field-voltageMv-error").isVisible()).toBe(true);
      expect(await page.locator("#field-ambientC").inputValue()).toBe("21,5");
      await page.getByText("It has already ended").click();
      await page.locator("#field-voltageMv").fill("1.2");
      await page.locator("#log-freeze").click();
      await expectArrival(page, { focused: /^field-durationS$/ });
      expect(await page.locator("#field-ambientC").inputValue()).toBe("21,5");
    });

    it("a refusal whose form is gone: another page armed first", async () => {
      const { url } = await served();
      const { build, attemptsOf } = await longBench(url);
      const [first, second] = [await visitor(options), await visitor(options)];
      await first.goto(url);
      await second.goto(url);
      await second.locator("#field-clockMhz").fill("4711");
      await arm(first);
      await expectArrival(first, { focused: /^timer$/ });
      await arm(second);
      await expectArrival(second, { focused: /An attempt of this build is running; end it first/ });
      expect((await attemptsOf(build)).filter(({ outcome }) => outcome === "running")).toHaveLength(1);
      await first.getByRole("button", { name: "Froze" }).click();
      await expectArrival(first, { focused: /^Kept: / });
      await second.getByRole("link", { name: "The dials as you set them" }).click();
      await expect.poll(() => second.locator("#field-clockMhz").inputValue()).toBe("4711");
    });

    it("a second ending that says something else is told so", async () => {
      const { url } = await served();
      await longBench(url);
      const [first, second] = [await visitor(options), await visitor(options)];
      // What the first does has not reached the second yet.
      await second.route(stream, (route) => route.abort());
      await first.goto(url);
      await arm(first);
      await expectArrival(first, { focused: /^timer$/ });
      await second.goto(url);
      await first.getByRole("button", { name: "Froze" }).click();
      await expectArrival(first, { focused: /^Kept: / });
      await second.getByRole("button", { name: "Restarted" }).click();
      await expectArrival(second, { focused: /ended already \(froze.*“restarted” was not kept/ });
    });

    it("the next question, the timer and the note where attempts were interrupted", async () => {
      const first = await served();
      const { builds, load, made } = await benchAt(first.url, { boards: ["Quay S", "Quay L"] });
      for (const build of builds)
        await made(`/api/builds/${build}/attempts`, {
          ...{ workloadId: load, clockMhz: 4500, voltageMv: 1200, outcome: "running", plannedS: 900 },
        });
      await first.kill();
      const second = await served(first.journal);
      const page = await visitor(options);
      await page.goto(second.url);
      await page.getByRole("button", { name: "Froze" }).first().click();
      await expectArrival(page, { focused: /^field-.*-durationS$/ });
      await page.locator("#field-clockMhz, [name=durationS]").first().fill("3:12");
      await page.getByRole("button", { name: "Froze" }).first().click();
      await expectArrival(page, { focused: /^Kept: /, said: /froze after 3\.2 min/ });
      await page.getByRole("button", { name: "It is still running" }).click();
      await expectArrival(page, { focused: /^timer$/, said: /is running/ });
    });

    it("what was typed of the last run is not lost by arming the next", async () => {
      const { url } = await served();
      const { build, attemptsOf } = await longBench(url);
      const page = await visitor(options);
      await page.goto(url);
      await page.getByText("More about it").click();
      await page.locator("#field-ambientC").fill("21.5");
      await arm(page);
      await expectArrival(page, { focused: /^timer$/ });
      await page.getByRole("button", { name: "Froze" }).click();
      await expectArrival(page, { focused: /^Kept: / });
      const [{ id }] = await attemptsOf(build);
      await page.getByRole("link", { name: "Add a reading" }).click();
      await page.locator("#field-read-loadTempC").fill("83,5");
      await arm(page);
      await expectArrival(page, { focused: /^timer$/ });
      expect(await page.locator("#field-read-loadTempC").inputValue()).toBe("83,5");
      await page.locator("#read-kept").click();
      await expect
        .poll(async () => (await attemptsOf(build)).find((one) => one.id === id))
        .toMatchObject({ outcome: "freeze", ambientC: 21.5, loadTempC: 83.5 });
    });

    it("nothing moves under the reader while pieces come in by themselves", async () => {
      const { url } = await served();
      const { build, attemptsOf } = await longBench(url);
      const page = await visitor(options);
      await page.goto(url);
      await arm(page);
      await expectArrival(page, { focused: /^timer$/ });
      const [{ id }] = await attemptsOf(build);
      await page.locator("#live-heat").evaluate((live) => scrollTo(0, live.getBoundingClientRect().top + 8));
      const where = () =>
        page.evaluate(() =>
          Math.round(document.querySelector(".after-acts")?.getBoundingClientRect().top ?? 0),
        );
      const before = await where();
      const swapped = page.evaluate(
        () =>
          new Promise((resolve) => {
            document.addEventListener("htmx:after:swap", () => setTimeout(resolve, 100), { once: true });
          }),
      );
      expect(id).toBeTruthy();
      await swapped;
      expect(await where()).toBe(before);
    });
  });
