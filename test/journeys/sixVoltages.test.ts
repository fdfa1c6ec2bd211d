import type { Page } from "playwright-core";
import { expect, it } from "vitest";
import { demoBenches } from "../../server/demo/demoBenches.ts";
import { runAttempt } from "../../server/demo/simulatedAttempt.ts";
import { allCoreLoad, type SimulatedSetting } from "../../server/demo/simulatedBench.ts";
import { seededRandom } from "../../server/numerics/seededRandom.ts";
import { benchAt } from "../support/benchAt.ts";
import { journey, served, visitor } from "../support/browser.ts";
import { counted } from "../support/effort.ts";

const voltagesMv = [1050, 1100, 1150, 1200, 1250, 1275];
const mostAttempts = 70;
const desk = { viewport: { width: 1280, height: 800 }, timezoneId: "UTC" };

const typedIn = (page: Page, name: string) => page.locator(`#try [name="${name}"]`).inputValue();

const dialled = async (page: Page): Promise<SimulatedSetting> => ({
  clockMhz: Number(await typedIn(page, "clockMhz")),
  voltageMv: Math.round(10_000 * Number(await typedIn(page, "voltageMv"))) / 10,
});

/** What the fit proposes where the page came before it, one key away; false where the dials have it already. */
async function takeWhatIsProposed(page: Page): Promise<boolean> {
  await page.locator(".late[data-later]").waitFor({ state: "detached", timeout: 30_000 });
  const link = page.locator('.late a[data-key="w"]');
  const address = (await link.count()) === 0 ? null : await link.getAttribute("href");
  if (address === null) return false;
  const wanted = new URLSearchParams(address.split("?")[1]);
  const { clockMhz, voltageMv } = await dialled(page);
  if (Number(wanted.get("clockMhz")) === clockMhz && Number(wanted.get("voltageMv")) === voltageMv)
    return false;
  await pressed(page, "w");
  return true;
}

/** Presses what takes the page on, and waits until it stands as it then will. */
async function pressed(page: Page, ...keys: readonly string[]): Promise<void> {
  const once = () => page.locator('main input[name="once"]').first().getAttribute("value");
  const was = await once();
  for (const key of keys) await page.keyboard.press(key);
  await expect.poll(once, { timeout: 30_000 }).not.toBe(was);
}

const focusedId = (page: Page) => page.evaluate(() => document.activeElement?.id);

journey("Six voltages by keyboard", () => {
  it("takes one key for what passed as proposed, two for what did not, one for what came late, and a room typed once", async () => {
    const { url } = await served();
    const bench = await benchAt(url, {
      chip: { stockClockMhz: 4300, stockVoltageMv: 1150, voltageCeilingMv: 1300 },
    });
    const random = seededRandom(20_311);
    const machine = { ...demoBenches.frameL, chip: { ...demoBenches.frameL.chip, hazardWidthMhz: 6 } };
    for (const [i, voltageMv] of voltagesMv.entries())
      await bench.made(`/api/builds/${bench.build}/attempts`, {
        ...{ workloadId: bench.load, clockMhz: 3900 + 75 * i, voltageMv, outcome: "pass", durationS: 900 },
        ...{ plannedS: 900, loadTempC: 55 + 3 * i, ambientC: 22 },
      });
    const page = await visitor(desk);
    const effort = await counted(page);
    await page.goto(`${url}/?aim=map&voltages=${voltagesMv.join(",")}`);

    const settled = async (): Promise<boolean> => {
      const address = `${url}/api/builds/${bench.build}/next?voltagesMv=${voltagesMv.join(",")}`;
      const { settled: told } = (await (await fetch(address)).json()) as {
        settled?: { map: unknown[] } | null;
      };
      return told?.map.length === voltagesMv.length;
    };
    let [passes, failures, taken] = [0, 0, 0];
    while (!(await settled()) && passes + failures < mostAttempts) {
      if (await takeWhatIsProposed(page)) taken += 1;
      const setting = await dialled(page);
      const plannedS = 60 * Number(await typedIn(page, "plannedS"));
      const { outcome } = runAttempt(machine, setting, allCoreLoad, plannedS, random);
      if (outcome === "pass") {
        passes += 1;
        await pressed(page, "p");
      } else {
        failures += 1;
        await pressed(page, "a");
        await pressed(page, "f");
      }
    }
    const told = { ...(await effort()), passes, failures, taken };
    console.log(`six voltages by keyboard: ${JSON.stringify(told)}`);
    expect(await settled(), JSON.stringify(told)).toBe(true);
    expect(told).toMatchObject({ taps: 0, keys: passes + 2 * failures + taken });
    const attempts = await bench.attemptsOf(bench.build);
    expect(attempts).toHaveLength(voltagesMv.length + passes + failures);
    expect(attempts.filter(({ ambientC }) => ambientC !== 22)).toEqual([]);
    expect(page.complaints).toEqual([]);
  }, 600_000);

  it("takes at most eight keys for another setting; Enter stays, Escape undoes, and the address stays short", async () => {
    const { url } = await served();
    const bench = await benchAt(url);
    await bench.made(`/api/builds/${bench.build}/attempts`, {
      ...{ workloadId: bench.load, clockMhz: 4400, voltageMv: 1200, outcome: "pass", durationS: 900 },
      ...{ loadTempC: 70, ambientC: 22 },
    });
    const page = await visitor(desk);
    const effort = await counted(page);
    await page.goto(url);
    await page.locator(".late[data-later]").waitFor({ state: "detached" });
    const clock = await typedIn(page, "clockMhz");

    await page.keyboard.press("c");
    await page.keyboard.type("4625");
    await page.keyboard.press("Enter");
    await expect.poll(() => page.locator("#forecast").textContent()).toContain("4625");
    expect(await focusedId(page)).toBe("field-clockMhz");
    expect(new URL(page.url()).search).toBe("");
    await page.keyboard.press("Escape");
    expect(await typedIn(page, "clockMhz")).toBe(clock);
    expect(await focusedId(page)).toBe("field-clockMhz");
    await page.keyboard.press("Escape");
    expect(await focusedId(page)).not.toBe("field-clockMhz");
    expect(await bench.attemptsOf(bench.build)).toHaveLength(1);

    const before = (await effort()).keys;
    await page.keyboard.press("c");
    await page.keyboard.type("4525");
    await page.keyboard.press("Tab");
    expect(await focusedId(page)).toBe("field-voltageMv");
    await page.keyboard.press("ArrowUp");
    await page.keyboard.press("Control+Enter");
    await page.locator("h1.running").waitFor();
    expect((await effort()).keys - before).toBe(8);
    const [armed] = await bench.attemptsOf(bench.build);
    expect(armed).toMatchObject({ clockMhz: 4525, outcome: "running" });
    expect(armed?.voltageMv).toBeGreaterThan(1200);
    expect(page.complaints).toEqual([]);
  });
});
