import type { Page } from "playwright-core";
import { expect, it } from "vitest";
import { expectArrival } from "../support/arrival.ts";
import { benchAt } from "../support/benchAt.ts";
import { journey, served, visitor } from "../support/browser.ts";

const phone = { viewport: { width: 360, height: 740 }, hasTouch: true };

/** A bench as after an evening: passes up to a crash, warm enough for the forecast to warn of the limit. */
async function eveningBench(url: string) {
  const bench = await benchAt(url);
  const attempt = (more: object) =>
    bench.made(`/api/builds/${bench.build}/attempts`, {
      ...{ workloadId: bench.load, voltageMv: 1187.5, ambientC: 24, durationS: 300 },
      ...more,
    });
  for (let i = 0; i < 8; i++)
    await attempt({ clockMhz: 4325 + 25 * i, outcome: "pass", loadTempC: 74 + i / 4 });
  for (let i = 0; i < 2; i++) await attempt({ clockMhz: 4600 + 25 * i, outcome: "freeze", durationS: 200 });
  return bench;
}

const placesOf = (page: Page, selectors: readonly string[]) =>
  page.evaluate(
    (wanted) =>
      wanted.map((selector) => {
        const found = [...document.querySelectorAll(selector)].find((one) => one.getClientRects().length > 0);
        const { top = Number.NaN, bottom = Number.NaN } = found?.getBoundingClientRect() ?? {};
        return { selector, top, bottom };
      }),
    selectors,
  );

/** Each stands whole on what the phone shows now. */
async function expectOnScreen(page: Page, ...selectors: readonly string[]): Promise<void> {
  for (const place of await placesOf(page, selectors)) {
    expect(place.top, JSON.stringify(place)).toBeGreaterThanOrEqual(0);
    expect(place.bottom, JSON.stringify(place)).toBeLessThanOrEqual(740);
  }
}

/** Prose a reader meets before the button that arms; headings, labels and what is folded away are none. */
const wordsAboveArm = (page: Page) =>
  page.evaluate(() => {
    const arm = document.querySelector("#arm")?.getBoundingClientRect().top ?? 0;
    const prose = [
      ...document.querySelectorAll<HTMLElement>("main p, main .line-more > summary, main .note li"),
    ];
    const above = prose.filter((one) => one.checkVisibility() && one.getBoundingClientRect().top < arm);
    return above
      .map((one) => one.textContent ?? "")
      .join(" ")
      .split(/\s+/)
      .filter(Boolean).length;
  });

const dial = [".dials", "#field-clockMhz", "#field-workloadId"];

journey("A phone's first screen holds the answer, the dial and the one thing to do", () => {
  it("before and while a run, with a forecast near the limit and 60 words at most", async () => {
    const { url } = await served();
    await eveningBench(url);
    const page = await visitor(phone);
    await page.goto(url);
    await page.locator(".late[data-later]").waitFor({ state: "detached" });
    await expectOnScreen(page, "h1", ".line-more", "#forecast svg", ...dial, "#arm", "#passed");
    expect(await wordsAboveArm(page)).toBeLessThanOrEqual(60);

    await page.locator("#arm").tap();
    await expectArrival(page, { focused: /^timer$/ });
    expect(await page.evaluate(() => scrollY)).toBe(0);
    await expectOnScreen(page, "h1", "[data-timer]", ".outcomes > .place", "#end-freeze", "#end-disturbed");

    expect(page.complaints).toEqual([]);
  });

  it("after a crash, and after a refusal", async () => {
    const { url } = await served();
    await eveningBench(url);
    const page = await visitor(phone);
    await page.goto(url);
    await page.locator(".late[data-later]").waitFor({ state: "detached" });
    await page.locator("#arm").tap();
    await expectArrival(page, { focused: /^timer$/ });
    await page.locator("#end-freeze").tap();
    await expectArrival(page, { focused: /^Kept: / });
    expect(await page.evaluate(() => scrollY)).toBe(0);
    await expectOnScreen(page, ".note.done", "#undo", "h1", ".line-more", ...dial, "#arm", "#passed");
    expect(await wordsAboveArm(page)).toBeLessThanOrEqual(60);

    await page.locator("#field-clockMhz").fill("fast");
    await page.locator("#arm").tap();
    await expectArrival(page, { focused: /^field-clockMhz$/ });
    await expectOnScreen(page, "h1", "[role=alert]", ...dial, "#field-clockMhz-error", "#arm");
  });

  it("also where a run was interrupted", async () => {
    const first = await served();
    const { build, load, made } = await eveningBench(first.url);
    const id = await made(`/api/builds/${build}/attempts`, {
      ...{ workloadId: load, clockMhz: 4575, voltageMv: 1187.5, outcome: "running", plannedS: 900 },
    });
    await first.kill();
    const { url } = await served(first.journal);
    const page = await visitor(phone);
    await page.goto(url);
    await expectOnScreen(
      page,
      "h1",
      `#field-${id}-durationS`,
      `[id="${id}-freeze"]`,
      `[id="${id}-disturbed"]`,
    );
  });

  it("also where a search is over, of memory with six dials and of a card set by offset", async () => {
    const { url } = await served(undefined, ["--demo"]);
    const builds = (await (await fetch(`${url}/api/builds`)).json()) as {
      items: { id: string; name: string }[];
    };
    const page = await visitor(phone);
    for (const name of ["Set A on Quay M", "Long rig, Lens 3"]) {
      const id = builds.items.find((build) => build.name === name)?.id;
      const address = `${url}/?build=${id}`;
      // The first visit weighs the record; from then on the page has what was found.
      await expect
        .poll(async () => (await fetch(address)).text(), { timeout: 120_000 })
        .toMatch(/<h1[^>]*>(<[^>]*>)*Run /);
      await page.goto(address);
      await page.waitForFunction(() => document.querySelector("[data-later]") === null, null, {
        timeout: 60_000,
      });
      expect(await page.locator("h1").textContent()).toMatch(/^Run /);
      await expectOnScreen(page, "h1", ".line-more", ".dials", "#field-workloadId", "#arm", "#passed");
    }
  }, 300_000);
});
