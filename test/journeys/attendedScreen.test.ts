import type { Page } from "playwright-core";
import { expect, it } from "vitest";
import { eveningOf } from "../look/benchWalk.ts";
import { expectArrival } from "../support/arrival.ts";
import { benchAt } from "../support/benchAt.ts";
import { journey, served, visitor } from "../support/browser.ts";

const phone = { viewport: { width: 360, height: 740 }, hasTouch: true };

/** Each stands whole on what the phone shows now. */
async function expectOnScreen(page: Page, ...selectors: readonly string[]): Promise<void> {
  for (const selector of selectors) {
    const box = await page.locator(selector).filter({ visible: true }).first().boundingBox();
    expect([selector, (box?.y ?? -1) >= 0, (box?.y ?? 740) + (box?.height ?? 1) <= 740]).toEqual([
      selector,
      true,
      true,
    ]);
  }
}

journey("A phone beside a machine that attends", () => {
  it("shows what it changed on the first screen, with the focus there, and says it", async () => {
    const { url } = await served();
    const bench = await benchAt(url);
    await eveningOf(bench);
    const send = (method: string, address: string, body: object) =>
      fetch(url + address, {
        method,
        headers: { "content-type": "application/json" },
        body: JSON.stringify(body),
      });
    const says = async (word: object): Promise<void> => {
      const answer = await send("PUT", "/api/attendants/bench-2", {
        ...{ buildId: bench.build, bootId: "first", canRead: ["temperature", "clock"], evening: true },
        ...{ cannotRead: ["voltage"], reads: { tempC: 41, clockMhz: 4500 }, ...word },
      });
      expect(answer.status).toBeLessThan(300);
    };
    let word: object = { state: "booted" };
    await says(word);
    const beats = setInterval(() => void says(word), 500);
    try {
      const page = await visitor(phone);
      await page.goto(url);
      await page.locator("#booted").waitFor();
      await expectOnScreen(page, ".presence", "h1", ".setting", "#arm", "#booted [value=no-start]");

      await page.locator("#arm").tap();
      await expectArrival(page, { focused: /^timer$/, said: / is running\.$/ });
      const [{ id }] = await bench.attemptsOf(bench.build);
      word = { state: "running", attemptId: id, elapsedS: 33, reads: { tempC: 71, clockMhz: 4500 } };
      await expectArrival(page, { focused: / under Stacking$/, said: / is running\.$/ });
      await expectOnScreen(page, "h1", "[role=timer]", ".presence", "#stop-it");

      // The machine tells how it ended: nobody has tapped, and the page is about something else by now.
      word = { state: "here" };
      await send("PATCH", `/api/attempts/${id}`, { outcome: "freeze", durationS: 80, toldBy: "attendant" });
      await expectArrival(page, {
        focused: /^Froze after /,
        said: /^Froze after 1\.3 min, told by bench-2\.$/,
      });
      expect(await page.title()).toMatch(/^Bench/);
      await page.waitForFunction(() => document.querySelector("main [data-later]") === null);
      await expectOnScreen(page, ".note.done", ".presence", "h1", ".dials", "#arm", "#passed");
      expect(await page.evaluate(() => scrollY)).toBe(0);
      expect(page.complaints).toEqual([]);
    } finally {
      clearInterval(beats);
    }
  }, 240_000);

  it("is taken to a run that somebody else armed or ended, where it stood on what is gone", async () => {
    const { url } = await served();
    const bench = await benchAt(url);
    await eveningOf(bench);
    const [hand, other] = [await visitor(phone), await visitor(phone)];
    for (const page of [hand, other]) {
      await page.goto(url);
      await page.locator(".late[data-later]").waitFor({ state: "detached" });
    }
    await hand.locator("#arm").tap();
    await expectArrival(hand, { focused: /^timer$/ });
    await other.locator("[data-timer]").waitFor();
    await expect.poll(() => other.locator("#said").textContent()).toMatch(/ is running\.$/);
    expect(await other.title()).toMatch(/^Running /);
    await expectOnScreen(other, "h1", "[data-timer]", "#end-freeze", "#end-disturbed");

    await other.locator("#end-freeze").tap();
    await expectArrival(other, { focused: /^Kept: / });
    // The first one stood on the timer, which is gone.
    await expectArrival(hand, { focused: /^(?!timer)\S/ });
    expect(await hand.title()).toMatch(/^Bench/);
    for (const page of [hand, other]) expect(page.complaints).toEqual([]);
  }, 240_000);
});
