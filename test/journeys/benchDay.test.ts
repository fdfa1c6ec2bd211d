import type { Page } from "playwright-core";
import { expect, it } from "vitest";
import { benchAt } from "../support/benchAt.ts";
import { expectAccessible, journey, served, visitor } from "../support/browser.ts";

const headline = (page: Page) => page.locator("h1").textContent();

journey("A day at the bench", () => {
  it("logs the commonest entry, one step up and passed, with two keys", async () => {
    const { url } = await served();
    const { build, load, made, attemptsOf } = await benchAt(url);
    await made(`/api/builds/${build}/attempts`, {
      workloadId: load,
      clockMhz: 4500,
      voltageMv: 1200,
      outcome: "pass",
      durationS: 900,
    });
    const page = await visitor();
    await page.goto(url);
    await page.keyboard.press("u");
    await page.waitForURL(/clockMhz=4525/);
    expect(await page.locator("#field-clockMhz").inputValue()).toBe("4525");
    await page.keyboard.press("p");
    await expect.poll(async () => (await attemptsOf(build)).length).toBe(2);
    expect(await attemptsOf(build)).toMatchObject([
      { clockMhz: 4525, voltageMv: 1200, outcome: "pass", durationS: 900 },
      { clockMhz: 4500 },
    ]);
    // The dials stand at the new proposal, not at what was typed before.
    const isAtProposal = async () =>
      `Next: ${await page.locator("#field-clockMhz").inputValue()}` ===
      /Next: \d+/.exec((await headline(page)) ?? "")?.[0];
    await page.getByRole("button", { name: /^Undo/ }).waitFor();
    await expect.poll(isAtProposal).toBe(true);
    await page.keyboard.press("z");
    await page.getByRole("button", { name: "Bring it back" }).waitFor();
    expect(await attemptsOf(build)).toHaveLength(1);
    await page.keyboard.press("z");
    await expect.poll(async () => (await attemptsOf(build)).length).toBe(2);
    expect(page.complaints).toEqual([]);
  });

  it("logs it with two taps on a phone, without a sideways scroll", async () => {
    const { url } = await served();
    const { build, attemptsOf } = await benchAt(url);
    const page = await visitor({ viewport: { width: 360, height: 740 }, hasTouch: true });
    await page.goto(url);
    await page.getByRole("button", { name: "Clock up" }).tap();
    await page.getByRole("button", { name: "It passed already" }).tap();
    await expect.poll(async () => (await attemptsOf(build)).length).toBe(1);
    expect(await page.evaluate(() => document.documentElement.scrollWidth - innerWidth)).toBeLessThanOrEqual(
      0,
    );
    const heights = await page.$$eval("main button, main .button", (buttons) =>
      buttons
        .filter((one) => one.getClientRects().length > 0)
        .map((one) => one.getBoundingClientRect().height),
    );
    expect(Math.min(...heights)).toBeGreaterThanOrEqual(44);
  });

  it("keeps the cells of earlier attempts apart on a phone", async () => {
    const { url } = await served();
    const { build, load, made } = await benchAt(url);
    for (const startedAt of ["2020-11-23T16:11:00Z", "2020-12-28T10:00:00Z"])
      await made(`/api/builds/${build}/attempts`, {
        ...{ workloadId: load, clockMhz: 4500, voltageMv: 1337.5, outcome: "app-closed", durationS: 86_400 },
        ...{ startedAt, loadTempC: 75.5, note: "moved the thermometer" },
      });
    const page = await visitor({ viewport: { width: 360, height: 740 }, hasTouch: true });
    await page.goto(url);
    const rows = await page.$$eval(".earlier tbody tr", (found) =>
      found.map((row) =>
        [...row.querySelectorAll("td")].flatMap((cell) => {
          const text = document.createRange();
          text.selectNodeContents(cell.querySelector("time, summary") ?? cell);
          const { left, right, top, bottom } = text.getBoundingClientRect();
          return right > left ? [{ left, right, top, bottom }] : [];
        }),
      ),
    );
    expect(rows).toHaveLength(2);
    for (const cells of rows)
      for (const [i, one] of cells.entries())
        for (const other of cells.slice(i + 1)) {
          const across = Math.min(one.right, other.right) - Math.max(one.left, other.left);
          const down = Math.min(one.bottom, other.bottom) - Math.max(one.top, other.top);
          expect(across > 1 && down > 1, JSON.stringify([one, other])).toBe(false);
        }
  });

  it("shows a new forecast when a dial turns, and keeps the focus and the scroll", async () => {
    const { url } = await served();
    const { build, load, made } = await benchAt(url);
    await made(`/api/builds/${build}/attempts`, {
      workloadId: load,
      clockMhz: 4500,
      voltageMv: 1200,
      outcome: "pass",
      durationS: 900,
      ambientC: 22,
      loadTempC: 75,
    });
    const page = await visitor({ viewport: { width: 900, height: 420 } });
    await page.goto(url);
    const before = await page.locator("#forecast figcaption").textContent();
    await page.locator("#field-voltageMv").focus();
    await page.evaluate(() => scrollTo(0, 140));
    const scrolled = await page.evaluate(() => scrollY);
    await page.keyboard.press("ArrowUp");
    await expect.poll(() => page.locator("#forecast figcaption").textContent()).toMatch(/1\.213|1\.2125/);
    expect(await page.locator("#forecast figcaption").textContent()).not.toBe(before);
    expect(await page.evaluate(() => document.activeElement?.id)).toBe("field-voltageMv");
    expect(await page.evaluate(() => scrollY)).toBe(scrolled);
    await page.keyboard.press("Enter");
    await page.waitForTimeout(300);
    expect(await page.evaluate(() => document.activeElement?.id)).toBe("field-voltageMv");
    expect(await page.evaluate(() => scrollY)).toBe(scrolled);
    expect(new URL(page.url()).search).toBe("");
    expect(await (await fetch(`${url}/api/builds/${build}/attempts`)).json()).toMatchObject({ items: [{}] });
  });

  it("arms above the ceiling only after a second, explicit yes", async () => {
    const { url } = await served();
    const { build, attemptsOf } = await benchAt(url);
    const page = await visitor();
    await page.goto(url);
    await page.locator("#field-voltageMv").fill("1.36");
    await page.getByRole("button", { name: "Arm this attempt" }).click();
    await page.getByText("Nothing was recorded yet").waitFor();
    expect(await attemptsOf(build)).toEqual([]);
    await expectAccessible(page);
    await page.getByLabel("is meant").check();
    await page.getByRole("button", { name: "Arm this attempt" }).click();
    await page.getByRole("timer").waitFor();
    expect(await attemptsOf(build)).toMatchObject([{ voltageMv: 1360, aboveCeiling: true }]);
  });

  it("turns the first button from stopped to passed when the planned time is up, without loading the page", async () => {
    const { url } = await served();
    const { build, attemptsOf } = await benchAt(url);
    const page = await visitor();
    await page.goto(url);
    await page.locator("#field-plannedS").fill("3 s");
    await page.getByRole("button", { name: "Arm this attempt" }).click();
    await page.getByRole("button", { name: "Stopped, no fault" }).waitFor();
    expect(await page.getByRole("button", { name: "Passed", exact: true }).isVisible()).toBe(false);
    await expectAccessible(page);
    await page.getByRole("button", { name: "Passed", exact: true }).waitFor();
    await page.keyboard.press("p");
    await page.locator(".note.done").waitFor();
    expect(await attemptsOf(build)).toMatchObject([{ outcome: "pass", durationS: 3, plannedS: 3 }]);
  });

  it("leaves the fold of rarer fields open for whoever used it", async () => {
    const { url } = await served();
    await benchAt(url);
    const page = await visitor();
    await page.goto(url);
    await page.getByText("More about it").click();
    await page.reload();
    expect(await page.locator("#field-ambientC").isVisible()).toBe(true);
    await expectAccessible(page);
    await page.getByText("More about it").click();
    await page.locator("details[data-fold=more]").evaluate((fold: HTMLDetailsElement) => {
      fold.open = true; // as a page does that comes back with a refusal inside
    });
    await page.waitForTimeout(100);
    await page.reload();
    expect(await page.locator("#field-ambientC").isVisible()).toBe(false);
  });

  it("stands a button beside its field as high as any, whatever hint the field has below", async () => {
    const { url } = await served();
    await benchAt(url);
    const page = await visitor({ viewport: { width: 1280, height: 800 } });
    await page.goto(url);
    await page.getByText("Propose something else").click();
    for (const [name, field] of [
      ["Look for it", "#field-atMhz"],
      ["Map them", "#field-voltages"],
    ] as const) {
      const button = await page.getByRole("button", { name }).boundingBox();
      const input = await page.locator(field).boundingBox();
      const middleOf = (box: typeof button) => (box?.y ?? Number.NaN) + (box?.height ?? Number.NaN) / 2;
      expect(button?.height, name).toBe(48);
      expect(Math.abs(middleOf(button) - middleOf(input)), name).toBeLessThan(2);
    }
  });

  it("takes and shows times as the clock on the visitor's wall has them, and says so", async () => {
    const { url } = await served();
    const { build, load, made, attemptsOf } = await benchAt(url);
    const startedAt = "2020-11-23T22:40:00.000Z";
    const run = { workloadId: load, clockMhz: 4500, voltageMv: 1200, outcome: "pass", durationS: 900 };
    const id = await made(`/api/builds/${build}/attempts`, { ...run, startedAt });
    const page = await visitor({ timezoneId: "Asia/Kolkata" });
    await page.goto(`${url}/attempts/${id}`);
    await page.getByText("Correct what was written down").click();
    const started = page.locator("#field-startedAt");
    expect(await started.inputValue()).toBe("2020-11-24 04:10 +05:30");
    expect(await page.locator("#field-startedAt-hint").textContent()).toContain("+05:30");
    await page.locator("#field-loadTempC").fill("61");
    await page.getByRole("button", { name: "Keep the correction" }).click();
    await expect.poll(async () => (await attemptsOf(build))[0].version).toBe(2);
    expect(await attemptsOf(build)).toMatchObject([{ startedAt }]);
    await page.reload();
    await started.fill("2020-11-24 05:00");
    await page.locator("#field-loadTempC").click();
    expect(await started.inputValue()).toBe("2020-11-24 05:00 +05:30");
    await page.getByRole("button", { name: "Keep the correction" }).click();
    await expect.poll(async () => (await attemptsOf(build))[0].startedAt).toBe("2020-11-23T23:30:00.000Z");
    expect(page.complaints).toEqual([]);
  });

  it("corrects, sets aside, deletes and brings back one attempt on its page", async () => {
    const { url } = await served();
    const { build, attemptsOf } = await benchAt(url);
    const page = await visitor();
    await page.goto(url);
    await page.keyboard.press("p");
    await page.getByRole("link", { name: "Open it" }).click();
    await expectAccessible(page);
    await page.getByText("Correct what was written down").click();
    await page.locator("#field-loadTempC").fill("83,5");
    await expectAccessible(page);
    await page.getByRole("button", { name: "Keep the correction" }).click();
    await page.getByText("load temperature: 83.5").waitFor();
    await page.getByLabel("Why set it aside").fill("loose cable");
    await page.getByRole("button", { name: "Set it aside" }).click();
    await page.getByRole("button", { name: "Put it back" }).waitFor();
    expect(await attemptsOf(build)).toMatchObject([{ setAside: { reason: "loose cable" }, loadTempC: 83.5 }]);
    await page.getByRole("button", { name: "Delete it" }).click();
    await page.getByRole("button", { name: "Bring it back" }).waitFor();
    expect(await attemptsOf(build)).toEqual([]);
    await page.getByRole("button", { name: "Bring it back" }).click();
    await expect.poll(async () => (await attemptsOf(build)).length).toBe(1);
    expect(page.complaints).toEqual([]);
  });
});

/**
 * What a bench day looks like is common practice in the trade and has no one source: runs of about a quarter of an
 * hour, steps of 25 MHz, and two boards of the same chip a step or two apart at the same voltage.
 */
journey("Two boards at one voltage (common practice)", () => {
  /** Where each board truly gives up; the visitor only follows what the bench proposes. */
  const truthMhz = { "Quay L": 4625, "Quay S": 4575 } as const;

  it("walks each board up in 25 MHz steps of a quarter of an hour and finds the smaller one two steps behind", async () => {
    const { url } = await served();
    const boards = ["Quay L", "Quay S"] as const;
    const { builds, attemptsOf } = await benchAt(url, { boards });
    const page = await visitor();
    const held: number[] = [];
    for (const [i, board] of boards.entries()) {
      const build = builds[i] as string;
      await page.goto(`${url}/?build=${build}&aim=steps`);
      for (let taps = 0; taps < 12; taps++) {
        const words = (await headline(page)) ?? "";
        const [, mhz = "", volts] = /(\d+).MHz at (\d\.\d+).V/.exec(words) ?? [];
        expect(await page.locator(".line-more > summary").first().textContent()).toMatch(/^For 15 min/);
        if (volts !== "1.200") break;
        const count = (await attemptsOf(build)).length;
        if (Number(mhz) <= truthMhz[board]) await page.keyboard.press("p");
        else {
          const fold = page.locator("details", { hasText: "It has already ended" });
          if (!(await fold.evaluate((one) => (one as HTMLDetailsElement).open)))
            await page.getByText("It has already ended").click();
          await fold.getByLabel("It ran for").fill("3:24");
          await fold.getByRole("button", { name: "Restarted" }).click();
        }
        await expect.poll(async () => (await attemptsOf(build)).length).toBe(count + 1);
        await expect.poll(() => headline(page)).not.toBe(words);
      }
      const frontier = await (await fetch(`${url}/api/builds/${build}/frontier`)).json();
      const point = frontier.points.find((one: { voltageMv: number }) => one.voltageMv === 1200);
      expect(point, board).toMatchObject({ heldMhz: truthMhz[board], gapMhz: 25 });
      held.push(point.heldMhz);
    }
    expect((held[0] ?? 0) - (held[1] ?? 0)).toBe(50);
    const all = [...(await attemptsOf(builds[0] as string)), ...(await attemptsOf(builds[1] as string))];
    for (const attempt of all.filter(({ outcome }) => outcome === "pass"))
      expect(attempt.durationS).toBe(900);
  });
});

journey("Without script", () => {
  it("begins, asks for a forecast, arms, ends, undoes and logs by plain forms", async () => {
    const { url } = await served();
    const page = await visitor({ javaScriptEnabled: false });
    await page.goto(url);
    await page.locator("#field-chipName").fill("Tern 8");
    await page.locator("#field-tempLimitC").fill("95");
    await page.locator("#field-stockClockMhz").fill("4500");
    await page.locator("#field-stockVoltageMv").fill("1.2");
    await page.locator("#field-boardName").fill("Quay S");
    await page.locator("#field-workloadName").fill("Stacking");
    await page.getByRole("button", { name: "To the first attempt" }).click();
    await page.locator("#field-clockMhz").fill("4600");
    await page.getByRole("button", { name: "Show the heat forecast" }).click();
    expect(await page.locator("#field-clockMhz").inputValue()).toBe("4600");
    await page.getByRole("button", { name: "Arm this attempt" }).click();
    expect(await headline(page)).toMatch(/4600.MHz at 1\.200.V/);
    expect(await page.getByText("Without script").isVisible()).toBe(true);
    await page.getByRole("button", { name: "Froze" }).click();
    await page.getByRole("button", { name: /^Undo/ }).click();
    await page.getByRole("button", { name: "Stopped, no fault" }).click();
    await page.getByText("It has already ended").click();
    await page.locator("#field-durationS").fill("15");
    await page.locator("#log-pass").click();
    const { items } = await (await fetch(`${url}/api/builds`)).json();
    const attempts = await (await fetch(`${url}/api/builds/${items[0].id}/attempts`)).json();
    expect(attempts.items.map(({ outcome }: { outcome: string }) => outcome).sort()).toEqual([
      "pass",
      "stopped",
    ]);
  });
});
