import type { Page } from "playwright-core";
import { expect, it } from "vitest";
import { expectAccessible, journey, served, visitor } from "../support/browser.ts";
import { asServer, cardWorld, memoryWorld } from "../support/settingWorlds.ts";

const phone = { viewport: { width: 360, height: 740 }, hasTouch: true };

const attemptsOf = async (url: string, build: string) =>
  // biome-ignore lint/suspicious/noExplicitAny: an answer is read by the test that asked for it
  ((await (await fetch(`${url}/api/builds/${build}/attempts?limit=500`)).json()) as { items: any[] }).items;

const noSidewaysScroll = async (page: Page) =>
  expect(await page.evaluate(() => document.documentElement.scrollWidth - innerWidth)).toBeLessThanOrEqual(0);

const pictureTo = async (page: Page, name: string) => {
  if (process.env.PICTURES)
    await page.screenshot({ path: `${process.env.PICTURES}/${name}.png`, fullPage: true });
};

/** What the bench proposes of the timing, once the record is weighed. */
async function proposedTiming(page: Page, address: string): Promise<number> {
  let proposed = Number.NaN;
  await expect
    .poll(
      async () => {
        await page.goto(address);
        const words = (await page.locator("h1").first().textContent()) ?? "";
        proposed = Number(/^Next: CL (\d+)$/.exec(words)?.[1]);
        return proposed;
      },
      { timeout: 60_000, interval: 500 },
    )
    .toBeGreaterThan(0);
  return proposed;
}

journey("An evening with settings as the firmware has them", () => {
  it("logs a graphics card by offset and power limit", async () => {
    const { url } = await served();
    const { rig } = await cardWorld(asServer(url));
    const page = await visitor(phone);
    await page.goto(`${url}/?build=${rig}`);
    await page.locator("#field-offset").fill("120");
    await page.locator("#field-plannedS").fill("20");
    await page.getByText("Power limit, memory offset: as usual").tap();
    await page.getByLabel("Power limit").fill("105");
    await page.getByRole("button", { name: "It passed already" }).tap();
    await expect.poll(async () => (await attemptsOf(url, rig)).length).toBe(1);
    await page.getByText("Kept: +120 MHz passed").first().waitFor();
    // From here on the knob stands on the dial: one tap a step, nothing typed again.
    await page.locator("#field-offset").fill("120");
    await page.getByRole("button", { name: "Clock offset up" }).tap();
    await page.getByRole("button", { name: "Power limit up" }).tap();
    await noSidewaysScroll(page);
    await pictureTo(page, "card-360");
    await page.getByRole("button", { name: "Arm this attempt" }).tap();
    await page.locator("h1.running").waitFor();
    expect(await page.locator("h1").textContent()).toContain("+135\u00a0MHz under Deconvolve");
    await page.getByRole("button", { name: "Showed artefacts" }).tap();
    await expect.poll(async () => (await attemptsOf(url, rig))[0]?.outcome).toBe("artefacts");
    expect(await attemptsOf(url, rig)).toMatchObject([
      { offset: 135, knobs: { "power-limit": 110 }, outcome: "artefacts", clockMhz: null },
      { offset: 120, knobs: { "power-limit": 105 }, outcome: "pass" },
    ]);
    await page.goto(`${url}/builds/${rig}`);
    const row = await page.locator("#frontier tbody tr").first().textContent();
    expect(row).toContain("+120");
    expect(row).toContain("+135");
    expect(page.complaints).toEqual([]);
    await expectAccessible(page);
    await pictureTo(page, "card-build-360");
  });

  it("logs a set of memory over three trainings", async () => {
    const { url } = await served();
    const { build } = await memoryWorld(asServer(url));
    const page = await visitor(phone);
    await page.goto(`${url}/?build=${build}`);
    await page.locator("#field-clockMhz").selectOption("6000");
    await page.locator("#field-voltageMv").fill("1.35");
    await page.getByText("Timings, controller voltage: as usual").tap();
    await page.getByLabel("Timings").fill("30-38-38-76");
    for (let training = 1; training <= 3; training++) {
      if (!(await page.locator("#field-training").isVisible())) await page.getByText("More about it").tap();
      await page.locator("#field-training").selectOption("full");
      await page.locator("#field-plannedS").fill("30");
      await page.locator("#field-starts").fill(`${training} of ${training}`);
      await page.locator("#field-cycles").fill("4");
      await page.getByRole("button", { name: "It passed already" }).tap();
      await expect.poll(async () => (await attemptsOf(url, build)).length).toBe(training);
      await page.getByText("Kept: 6000 MT/s at 1.350 V passed").first().waitFor();
      expect(await page.locator("#field-timings").inputValue()).toBe("30-38-38-76");
      await page.goto(`${url}/?build=${build}`);
      await page.locator("#field-clockMhz").selectOption("6000");
      await page.locator("#field-voltageMv").fill("1.350");
    }
    await noSidewaysScroll(page);
    await pictureTo(page, "memory-360");
    const three = await attemptsOf(url, build);
    for (const one of three)
      expect(one).toMatchObject({
        ...{ clockMhz: 6000, voltageMv: 1350, training: "full", cycles: 4 },
        knobs: { cl: 30, trcd: 38, trp: 38, tras: 76 },
      });
    await page.goto(`${url}/builds/${build}/attempts`);
    expect(await page.locator("table").textContent()).toContain("30-38-38-76");
    await page.setViewportSize({ width: 1280, height: 900 });
    await expectAccessible(page);
    await pictureTo(page, "memory-attempts-1280");
    expect(page.complaints).toEqual([]);
  });

  it("looks how far one timing goes, all else as it was last", async () => {
    const { url } = await served();
    const { build, load } = await memoryWorld(asServer(url));
    const { send } = asServer(url) as { send(m: string, a: string, b: object): Promise<unknown> };
    for (const [i, cl] of [40, 38, 36].entries())
      await send("POST", `/api/builds/${build}/attempts`, {
        ...{ workloadId: load, clockMhz: 6000, voltageMv: 1350, outcome: "pass", durationS: 1800 },
        knobs: { cl, trcd: 38, trp: 38, tras: 76 },
        startedAt: new Date(Date.now() - (5 - i) * 3_600_000).toISOString(),
      });
    const page = await visitor(phone);
    await page.goto(`${url}/?build=${build}`);
    await page.getByText("Propose something else").tap();
    await page.getByRole("link", { name: "Look how far CL goes, all else as it was last" }).tap();
    await page.getByText("Looking how far CL goes").waitFor();
    const proposed = await proposedTiming(page, `${url}/?build=${build}&aim=knob&knob=cl`);
    await page.getByText("all else as it was last: 6000 MT/s at 1.350 V.").waitFor();
    await noSidewaysScroll(page);
    await pictureTo(page, "knob-360");
    expect(proposed).toBeLessThan(36);
    expect(await page.locator("#field-timings").inputValue()).toBe(`${proposed}-38-38-76`);
    expect(await page.locator("#field-clockMhz").inputValue()).toBe("6000");
    await page.getByRole("button", { name: "Arm this attempt" }).tap();
    await page.locator("h1.running").waitFor();
    await page.getByText("It ended in another way").tap();
    await page.getByRole("button", { name: "Wrong result" }).tap();
    await expect.poll(async () => (await attemptsOf(url, build))[0]?.outcome).toBe("wrong-result");
    expect((await attemptsOf(url, build))[0]).toMatchObject({
      ...{ clockMhz: 6000, voltageMv: 1350 },
      knobs: { cl: proposed, trcd: 38, trp: 38, tras: 76 },
    });
    // It goes on along the same knob, and stays clear of what failed.
    await page.getByText("Looking how far CL goes").waitFor();
    const after = await proposedTiming(page, `${url}/?build=${build}&aim=knob&knob=cl`);
    expect(after).toBeGreaterThan(proposed);
    await page.getByRole("link", { name: "The highest clock instead" }).tap();
    await expect.poll(() => page.getByText("Looking how far").count()).toBe(0);
    expect(page.complaints).toEqual([]);
    await expectAccessible(page);
  });

  it("finds an undervolt core by core and proves the list for firmware together", async () => {
    const { url } = await served();
    const { send } = asServer(url) as {
      send(m: string, a: string, b: object): Promise<{ body: { id: string } }>;
    };
    const made = async (address: string, body: object) => (await send("POST", address, body)).body.id;
    const chipId = await made("/api/chips", {
      ...{ name: "Tern 8", kind: "cpu", tempLimitC: 95, axis: "offset" },
      offset: { name: "Core offset", unit: "counts", step: 1, harder: "down", low: -50, high: 20 },
      parts: [{ name: "core 0" }, { name: "core 1" }],
    });
    const boardId = await made("/api/boards", { name: "Quay S" });
    await made("/api/workloads", { name: "One core, long", kind: "single-core", severity: 5 });
    const build = await made("/api/builds", { name: "Cupboard", chipId, boardId });
    const page = await visitor({ viewport: { width: 1280, height: 900 } });
    await page.goto(`${url}/?build=${build}`);
    const log = async (part: string, offset: string, count: number) => {
      await page.locator("#field-part").selectOption(part);
      await page.locator("#field-offset").fill(offset);
      await page.locator("#field-plannedS").fill("20");
      await page.getByRole("button", { name: "It passed already" }).click();
      await expect.poll(async () => (await attemptsOf(url, build)).length).toBe(count);
      await page.locator(".note.done").first().waitFor();
    };
    await log("core 0", "-22", 1);
    await page.goto(`${url}/?build=${build}`);
    expect(await page.locator("#field-offset").inputValue()).not.toBe("");
    await log("core 1", "-30", 2);
    await page.goto(`${url}/builds/${build}`);
    await page.getByText("Held one at a time, not proved together.").waitFor();
    await page.goto(`${url}/?build=${build}`);
    await page.getByText(/Offsets by part: as usual/).click();
    await page.locator("#field-plannedS").fill("20");
    await page.locator("#field-offsets").fill("core 0 = -22\ncore 1 = -30");
    await page.locator("#field-part").selectOption("");
    await page.locator("#field-offset").fill("");
    await pictureTo(page, "parts-1280");
    await page.getByRole("button", { name: "It passed already" }).click();
    await expect.poll(async () => (await attemptsOf(url, build)).length).toBe(3);
    expect((await attemptsOf(url, build))[0]).toMatchObject({
      ...{ offset: null, part: null, offsets: { "core 0": -22, "core 1": -30 } },
    });
    await page.getByRole("link", { name: "Open it" }).click();
    await page.getByRole("link", { name: "Try this again" }).click();
    await expect.poll(() => page.locator("#field-offsets").inputValue()).toBe("core 0 = -22; core 1 = -30");
    expect(await page.locator("#field-part").inputValue()).toBe("");
    await page.goto(`${url}/builds/${build}`);
    await page.getByText("What is held part by part has run together as long as the rule asks.").waitFor();
    const list = await page.locator("#frontier tbody").textContent();
    expect(list).toMatch(/core 0\s*−22.*core 1\s*−30/s);
    await expectAccessible(page);
    await pictureTo(page, "parts-build-1280");
    expect(page.complaints).toEqual([]);
  });
});
