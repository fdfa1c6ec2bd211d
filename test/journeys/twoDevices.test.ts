import type { Route } from "playwright-core";
import { expect, it } from "vitest";
import { benchAt } from "../support/benchAt.ts";
import { journey, served, visitor } from "../support/browser.ts";

/** How many pages of this browser wait to hold the stream. */
const waitingForStream = async (): Promise<number> =>
  ((await navigator.locks.query()).pending ?? []).filter(({ name }) => name === "changes").length;

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
    const listens = page.waitForResponse(`${url}/api/events`);
    await page.goto(`${url}/builds/${bench.build}/edit`);
    await listens;
    const note = page.locator("input[name=name]");
    await note.fill("the left fan rattles");
    await bench.patched(`/api/builds/${bench.build}`, { cooler: "Tall tower" });
    await page.locator("#changed-elsewhere", { hasText: "Something changed meanwhile." }).waitFor();
    expect(await note.inputValue()).toBe("the left fan rattles");
  }, 120_000);

  it("what was not shown yet stays said, whatever else there is to say", async () => {
    const first = await served();
    const bench = await benchAt(first.url);
    const page = await visitor();
    const listens = page.waitForResponse(`${first.url}/api/events`);
    await page.goto(`${first.url}/builds/${bench.build}/edit`);
    await listens;
    await page.locator("input[name=name]").fill("Open bench");
    await bench.patched(`/api/builds/${bench.build}`, { cooler: "Tall tower" });
    const word = page.locator("#changed-elsewhere", { hasText: "Something changed meanwhile." });
    await word.waitFor();
    await first.kill();
    await served(first.journal, ["--port", new URL(first.url).port]);
    await page.locator("#said", { hasText: "was away and is back" }).waitFor({ state: "attached" });
    expect([await word.count(), await page.locator("input[name=name]").inputValue()]).toEqual([
      1,
      "Open bench",
    ]);
    await word.getByRole("button", { name: "Show it" }).click();
    await word.waitFor({ state: "detached" });
    expect(await page.locator("input[name=cooler]").inputValue()).toBe("Tall tower");
  }, 120_000);

  /** Armed on the page, whose own looks at how the journal stands go through `look` from then on. */
  async function armedOn(look: (route: Route) => Promise<void>) {
    const { url } = await served();
    const bench = await benchAt(url);
    const page = await visitor();
    const listens = page.waitForResponse(`${url}/api/events`);
    await page.goto(url);
    await listens;
    await page.getByRole("button", { name: "Arm this attempt" }).click();
    await page.getByRole("timer").waitFor();
    const rename = (name: string) => bench.patched(`/api/builds/${bench.build}`, { name });
    await page.route(
      ({ pathname }) => pathname === "/",
      (route) => (route.request().headers().accept === "text/html" ? look(route) : route.continue()),
    );
    return { page, rename };
  }

  it("what another changes just as the own answer arrives is shown, and the own word stays", async () => {
    let rename: (name: string) => Promise<void> = async () => undefined;
    const armed = await armedOn(async (route) => {
      await rename("Renamed just then");
      await route.continue();
    });
    rename = armed.rename;
    await armed.page.getByRole("button", { name: "Froze" }).click();
    const kept = armed.page.locator("#main").getByText(/^Kept: /);
    await kept.waitFor();
    await armed.page.getByText("Renamed just then").first().waitFor();
    expect(await kept.count()).toBe(1);
    expect(await armed.page.getByRole("button", { name: "Arm this attempt" }).count()).toBe(1);
    expect(armed.page.complaints).toEqual([]);
  }, 120_000);

  it("what is changed after the server was away just as the own answer had arrived is shown", async () => {
    let looks = 0;
    const { page, rename } = await armedOn(async (route) => {
      looks += 1;
      await (looks === 1 ? route.abort() : route.continue());
    });
    await page.getByRole("button", { name: "Froze" }).click();
    await expect.poll(() => looks).toBeGreaterThan(0);
    await rename("Renamed after that");
    await page.getByText("Renamed after that").first().waitFor();
  }, 120_000);

  it("the tabs of one browser share one stream, and the next holds it once the first is closed", async () => {
    const { url } = await served();
    const bench = await benchAt(url);
    const first = await visitor();
    const streams: string[] = [];
    first.context().on("request", (request) => {
      if (request.url() === `${url}/api/events`) streams.push(request.url());
    });
    const listens = first.waitForResponse(`${url}/api/events`);
    await first.goto(`${url}/builds`);
    await listens;
    const second = await first.context().newPage();
    await second.goto(`${url}/builds`);
    await expect.poll(() => second.evaluate(waitingForStream)).toBe(1);
    await bench.patched(`/api/builds/${bench.build}`, { name: "Renamed for both" });
    for (const tab of [first, second]) await tab.getByText("Renamed for both").first().waitFor();
    expect(streams).toHaveLength(1);
    const taken = second.waitForResponse(`${url}/api/events`);
    await first.close();
    await taken;
    await bench.patched(`/api/builds/${bench.build}`, { name: "Renamed for one" });
    await second.getByText("Renamed for one").first().waitFor();
    expect(streams).toHaveLength(2);
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
