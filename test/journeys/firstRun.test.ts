import type { Page } from "playwright-core";
import { expect, it } from "vitest";
import { expectAccessible, journey, served, visitor } from "../support/browser.ts";
import { counted } from "../support/effort.ts";

const typingOn = (page: Page) => async (field: string, words: string) => {
  await page.locator(`#field-${field}`).tap();
  await page.keyboard.type(words);
};

journey("A first visit to an empty journal", () => {
  it("leads to the first logged attempt in under a minute: six fields and two buttons", async () => {
    const { url } = await served();
    const page = await visitor();
    await page.goto(url);
    await expectAccessible(page);
    const beganAt = Date.now();

    let fields = 0;
    const fill = async (label: string, value: string) => {
      fields += 1;
      await page.getByLabel(label, { exact: false }).first().fill(value);
    };
    await page.locator("#field-chipName").fill("Tern 8");
    fields += 1;
    await fill("Temperature limit", "95");
    await fill("Stock clock", "4,4 GHz");
    await fill("Stock voltage", "1150 mV");
    await fill("Board", "Quay S");
    await page.locator("#field-workloadName").fill("Stacking");
    fields += 1;
    await page.getByRole("button", { name: "To the first attempt" }).click();

    await expect.poll(() => page.locator("h1").textContent()).toMatch(/Next: 4400.MHz at 1\.150.V/);
    expect(await page.locator(".line-more > summary").first().textContent()).toMatch(/^For 15 min/);
    await page.getByRole("button", { name: "Arm this attempt" }).click();
    await page.getByRole("timer").waitFor();
    expect(fields).toBe(6);
    expect(Date.now() - beganAt).toBeLessThan(60_000);

    const { items } = await (await fetch(`${url}/api/builds`)).json();
    const attempts = await (await fetch(`${url}/api/builds/${items[0].id}/attempts`)).json();
    expect(attempts.items).toMatchObject([
      { clockMhz: 4400, voltageMv: 1150, outcome: "running", plannedS: 900 },
    ]);
    expect(page.complaints).toEqual([]);
  });

  it("takes nine taps and thirty characters on a phone to the first attempt that ended", async () => {
    const { url } = await served();
    const page = await visitor({ viewport: { width: 360, height: 740 }, hasTouch: true });
    const effort = await counted(page);
    await page.goto(url);
    const type = typingOn(page);
    await type("chipName", "Tern 8");
    await type("tempLimitC", "95");
    await type("stockClockMhz", "4400");
    await type("stockVoltageMv", "1.15");
    await type("boardName", "Quay S");
    await type("workloadName", "Stacking");
    await page.getByRole("button", { name: "To the first attempt" }).tap();
    await page.locator("#arm").tap();
    await page.locator("#end-freeze").tap();
    await page
      .getByText(/^Kept: /)
      .first()
      .waitFor();
    const told = await effort();
    console.log(`to the first attempt that ended: ${JSON.stringify(told)}`);
    expect(told).toMatchObject({ taps: 9, characters: 30 });
    expect(page.complaints).toEqual([]);
  });

  it("begins with a graphics card that is set by offset, and takes its first failure", async () => {
    const { url } = await served();
    const page = await visitor({ viewport: { width: 360, height: 740 }, hasTouch: true });
    const effort = await counted(page);
    await page.goto(url);
    const type = typingOn(page);
    await type("chipName", "Lens 2");
    await page.locator("#field-kind").selectOption("gpu");
    await page.locator("#field-setBy").selectOption("clockOffset");
    await type("tempLimitC", "90");
    await type("boardName", "Pier");
    await type("workloadName", "Deconvolve");
    await page.locator("#field-workloadKind").selectOption("graphics");
    await page.getByRole("button", { name: "To the first attempt" }).tap();
    await page.locator("#field-offset").waitFor();
    await page.locator("#field-offset").fill("60");
    await page.locator("#field-plannedS").fill("10");
    await page.getByRole("button", { name: "It passed already" }).tap();
    await page.getByText("Kept: +60 MHz passed").first().waitFor();
    await page.locator("#field-offset").fill("150");
    await page.locator("#arm").tap();
    await page.getByRole("button", { name: "Showed artefacts" }).tap();
    await page.getByText("Kept: +150 MHz").first().waitFor();
    const [build] = ((await (await fetch(`${url}/api/builds`)).json()) as { items: { id: string }[] }).items;
    const kept = await (await fetch(`${url}/api/builds/${build?.id}/attempts`)).json();
    expect(kept).toMatchObject({
      items: [
        { offset: 150, outcome: "artefacts", clockMhz: null },
        { offset: 60, outcome: "pass", durationS: 600 },
      ],
    });
    console.log(`a card to its first artefacts: ${JSON.stringify(await effort())}`);
    expect(page.complaints).toEqual([]);
  });

  it("keeps what was typed when a field is wrong, with the word beside it and a way to it", async () => {
    const { url } = await served();
    const page = await visitor();
    await page.goto(url);
    await page.locator("#field-chipName").fill("Tern 8");
    await page.locator("#field-tempLimitC").fill("warm");
    await page.getByRole("button", { name: "To the first attempt" }).click();
    await page.getByRole("alert").waitFor();
    expect(await page.locator("#field-tempLimitC").inputValue()).toBe("warm");
    expect(await page.locator("#field-chipName").inputValue()).toBe("Tern 8");
    await page.getByRole("alert").getByRole("link").first().click();
    await expectAccessible(page);
  });
});
