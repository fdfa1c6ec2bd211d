import { writeFileSync } from "node:fs";
import path from "node:path";
import type { Route } from "playwright-core";
import { expect, it } from "vitest";
import { temporaryFolder } from "../support/bench.ts";
import { benchAt } from "../support/benchAt.ts";
import { expectAccessible, journey, served, stream, visitor } from "../support/browser.ts";

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

  it("only the pieces that changed are swapped", async () => {
    const { url } = await served();
    const bench = await benchAt(url);
    const page = await visitor();
    await page.goto(`${url}/parts`);
    const pieces = page.locator("#main > *");
    await pieces.evaluateAll((all) => {
      for (const one of all) one.setAttribute("data-stood", "");
    });
    await bench.made("/api/boards", { name: "Quay M" });
    await page.getByText("Quay M").first().waitFor();
    const stood = await page.locator("#main > [data-stood]").count();
    expect(stood).toBeGreaterThan(0);
    expect(stood).toBeLessThan(await pieces.count());
  }, 120_000);

  it("what is being typed stays, with a word that something changed", async () => {
    const { url } = await served();
    const bench = await benchAt(url);
    const page = await visitor();
    const listens = page.waitForResponse(stream);
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
    const listens = page.waitForResponse(stream);
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
    const listens = page.waitForResponse(stream);
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
      if (stream.test(request.url())) streams.push(request.url());
    });
    const listens = first.waitForResponse(stream);
    await first.goto(`${url}/builds`);
    await listens;
    const second = await first.context().newPage();
    await second.goto(`${url}/builds`);
    await expect.poll(() => second.evaluate(waitingForStream)).toBe(1);
    await bench.patched(`/api/builds/${bench.build}`, { name: "Renamed for both" });
    for (const tab of [first, second]) await tab.getByText("Renamed for both").first().waitFor();
    expect(streams).toHaveLength(1);
    const taken = second.waitForResponse(stream);
    await first.close();
    await taken;
    await bench.patched(`/api/builds/${bench.build}`, { name: "Renamed for one" });
    await second.getByText("Renamed for one").first().waitFor();
    expect(streams).toHaveLength(2);
  }, 120_000);

  it("what changes between a page's writing and its listening is shown, on the tab that listens and on another", async () => {
    const { url } = await served();
    const bench = await benchAt(url);
    const first = await visitor();
    const rename = (name: string) => bench.patched(`/api/builds/${bench.build}`, { name });
    await first.route(stream, async (route) => {
      await rename("Renamed before it listened");
      await route.continue();
    });
    await first.goto(`${url}/builds`);
    await first.getByText("Renamed before it listened").first().waitFor();
    await first.unroute(stream);
    const second = await first.context().newPage();
    await second.route(/\/web\/start-/, async (route) => {
      await rename("Renamed before the other listened");
      await first.getByText("Renamed before the other listened").first().waitFor();
      await route.continue();
    });
    await second.goto(`${url}/builds`);
    await second.getByText("Renamed before the other listened").first().waitFor();
  }, 120_000);

  it("a device that has to give the passphrase again keeps its taps, says so, and sends them once it has", async () => {
    const words = path.join(temporaryFolder(), "words");
    writeFileSync(words, "four plain words here");
    const first = await served();
    const bench = await benchAt(first.url);
    const { port } = new URL(first.url);
    await first.kill();
    const guarded = ["--host", "0.0.0.0", "--passphrase-file", words, "--port", port];
    const second = await served(first.journal, guarded);
    const page = await visitor(phone);
    const signIn = async () => {
      await page.getByLabel("Passphrase").fill("four plain words here");
      await page.getByRole("button", { name: "Let this device in" }).click();
    };
    await page.goto(first.url);
    await signIn();
    const beats = page.waitForResponse(/\/heartbeats$/);
    await page.getByRole("button", { name: "Arm this attempt" }).click();
    await page.getByRole("timer").waitFor();
    await beats;
    await second.kill();
    await served(first.journal, guarded);
    const shut = page.locator("#changed-elsewhere", { hasText: "has to give the passphrase again" });
    await shut.waitFor();
    await page.waitForResponse((answer) => answer.status() === 401 && /attendant|live/.test(answer.url()));
    const kept = page.locator("[data-kept]", { hasText: "Not let in until the passphrase is given again: " });
    await kept.waitFor();
    expect(await page.getByText("The server does not answer").count()).toBe(0);
    await page.getByRole("button", { name: "Froze" }).click();
    await page.locator("#owed", { hasText: "not kept yet" }).waitFor();
    expect(await page.locator("h1, [name=passphrase]").count()).toBe(1);
    await expectAccessible(page);
    await shut.getByRole("link", { name: "Give it" }).click();
    await signIn();
    await page.getByText("Froze").first().waitFor();
    await page.locator("#owed").waitFor({ state: "detached" });
    await page.goto(`${first.url}/builds/${bench.build}`);
    await page.getByText("Froze").first().waitFor();
  }, 120_000);

  it("a page left open over a restart recovers and says so", async () => {
    const first = await served();
    const bench = await benchAt(first.url);
    const page = await visitor();
    const listens = page.waitForResponse(stream);
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
