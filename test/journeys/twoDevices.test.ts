import { expect, it } from "vitest";
import { benchAt } from "../support/benchAt.ts";
import { journey, served, visitor } from "../support/browser.ts";

const phone = { viewport: { width: 360, height: 740 }, hasTouch: true };

journey("A phone at the bench and a desktop beside it", () => {
  it("what one does stands on the other's open pages, with nothing loaded anew", async () => {
    const { url } = await served();
    const bench = await benchAt(url);
    const [desk, hand] = [await visitor(), await visitor(phone)];
    await desk.goto(url);
    await hand.goto(url);
    await desk.getByRole("button", { name: "Arm this attempt" }).click();
    await hand.getByRole("timer").waitFor();
    const build = await visitor();
    await build.goto(`${url}/builds/${bench.build}`);
    await hand.getByRole("button", { name: "Froze" }).click();
    await desk.getByRole("button", { name: "Arm this attempt" }).waitFor();
    await build.getByText("Froze").first().waitFor();
    expect([...desk.complaints, ...hand.complaints, ...build.complaints]).toEqual([]);
  }, 120_000);

  it("what is being typed stays, with a word that something changed", async () => {
    const { url } = await served();
    const bench = await benchAt(url);
    const page = await visitor();
    await page.goto(`${url}/builds/${bench.build}/edit`);
    const note = page.locator("input[name=name]");
    await note.fill("the left fan rattles");
    await bench.patched(`/api/builds/${bench.build}`, { cooler: "Tall tower" });
    await page.locator("#changed-elsewhere", { hasText: "Something changed meanwhile." }).waitFor();
    expect(await note.inputValue()).toBe("the left fan rattles");
  }, 120_000);

  it("a page left open over a restart recovers and says so", async () => {
    const first = await served();
    const bench = await benchAt(first.url);
    const page = await visitor();
    const listens = page.waitForResponse(`${first.url}/api/events`);
    await page.goto(`${first.url}/builds`);
    await listens;
    await first.kill();
    const again = await served(first.journal, ["--port", new URL(first.url).port]);
    expect(again.url).toBe(first.url);
    await bench.patched(`/api/builds/${bench.build}`, { name: "Renamed meanwhile" });
    await page.getByText("Renamed meanwhile").waitFor();
    await page.locator("#changed-elsewhere", { hasText: "was away and is back" }).waitFor();
  }, 120_000);
});
