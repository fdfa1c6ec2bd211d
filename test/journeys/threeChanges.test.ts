import { expect, it } from "vitest";
import { benchAt } from "../support/benchAt.ts";
import { expectAccessible, journey, served, visitor } from "../support/browser.ts";

/** Each build of the series mounted three times at one setting, half a degree between mounts. */
async function series(url: string) {
  const { build, chip, load, made } = await benchAt(url);
  const { boardId } = await (await fetch(`${url}/api/builds/${build}`)).json();
  const changed = (name: string, basedOn: string, change: string) =>
    made("/api/builds", { name, chipId: chip, boardId, basedOn, change });
  const paste = await changed("New paste", build, "new paste");
  const panel = await changed("Panel off", paste, "side panel off");
  const fans = await changed("Faster fans", panel, "fans two steps up");
  for (const [which, id] of [build, paste, panel, fans].entries())
    for (const [mount, off] of [-0.4, 0.1, 0.3].entries()) {
      const at = `2021-05-0${which + 1}T1${mount}`;
      if (mount > 0) await made(`/api/builds/${id}/mounts`, { mountedAt: `${at}:00:00Z` });
      await made(`/api/builds/${id}/attempts`, {
        workloadId: load,
        clockMhz: 4500,
        voltageMv: 1200,
        outcome: "pass",
        durationS: 900,
        ambientC: 22,
        loadTempC: 22 + (([60, 59.6, 52, 49] as const)[which] ?? 0) + off,
        powerW: 150 + 4 * which + mount,
        loadVoltageMv: 1150,
        score: 100 + which,
        startedAt: `${at}:05:00Z`,
      });
    }
  return { chip, build, paste, panel, fans };
}

journey("A series of three changes", () => {
  it("tells what each did, the largest first, and leads to the pair behind it", async () => {
    const { url } = await served();
    const { chip, paste, panel } = await series(url);
    const page = await visitor();
    await page.goto(`${url}/changes?chip=${chip}`);
    expect(await page.locator("h1").textContent()).toContain("“side panel off” did most: −7.6 °C");
    const rows = await page.locator("#effect-table-loadRise tbody tr").allTextContents();
    expect(rows.map((row) => /side panel off|fans two steps up|new paste/.exec(row)?.[0])).toEqual([
      "side panel off",
      "fans two steps up",
      "new paste",
    ]);
    expect(rows[2]).toContain("no difference beyond scatter");
    await expectAccessible(page);

    await page.locator("#effect-table-loadRise a", { hasText: "side panel off" }).click();
    await expect.poll(() => page.url()).toContain(`/compare?a=${paste}&b=${panel}`);
    expect(await page.locator("h1").textContent()).toMatch(/Panel off runs 7\.6\s°C cooler/);
    await expectAccessible(page);
    expect(page.complaints).toEqual([]);
  });

  it("stands beside the first build as a whole, also on a phone and without script", async () => {
    const { url } = await served();
    const { build, paste, panel, fans } = await series(url);
    const page = await visitor({ viewport: { width: 360, height: 740 }, javaScriptEnabled: false });
    await page.goto(`${url}/compare?a=${build}&b=${paste}`);
    await page.getByRole("link", { name: /^all against/ }).click();
    expect(await page.locator("h1").textContent()).toContain("3 builds against");
    const rows = await page.locator("#effect-table-loadRise tbody tr").allTextContents();
    expect(rows.map((row) => /Faster fans|Panel off|New paste/.exec(row)?.[0])).toEqual([
      "Faster fans",
      "Panel off",
      "New paste",
    ]);
    for (const address of [
      `/compare?a=${build}&b=${panel}&b=${fans}`,
      `/builds/${fans}/power`,
      "/changes",
      "/noise",
    ]) {
      await page.goto(url + address);
      expect(await page.locator("h1").count(), address).toBe(1);
    }
  });

  it("has nothing for axe to find on the pages of power and of several builds", async () => {
    const { url } = await served();
    const { build, panel, fans } = await series(url);
    const page = await visitor({ viewport: { width: 360, height: 740 } });
    for (const address of [
      `/compare?a=${build}&b=${panel}&b=${fans}&mountScatter=1`,
      `/builds/${fans}/power?wear=asked&fromMv=1.1&fromC=60&toMv=1.25&toC=85`,
    ]) {
      await page.goto(url + address);
      await expectAccessible(page);
      expect(await page.evaluate(() => document.documentElement.scrollWidth <= innerWidth), address).toBe(
        true,
      );
    }
    expect(page.complaints).toEqual([]);
  });
});
