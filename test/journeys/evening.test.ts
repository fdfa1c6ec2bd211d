import type { Page } from "playwright-core";
import { expect, it } from "vitest";
import { httpTransport } from "../../server/attend/httpTransport.ts";
import { attendingEvening } from "../../server/demo/attendingEvening.ts";
import { demoBenches } from "../../server/demo/demoBenches.ts";
import { runAttempt } from "../../server/demo/simulatedAttempt.ts";
import { allCoreLoad, type SimulatedSetting } from "../../server/demo/simulatedBench.ts";
import { seededRandom } from "../../server/numerics/seededRandom.ts";
import { benchAt } from "../support/benchAt.ts";
import { expectAccessible, journey, served, visitor } from "../support/browser.ts";

const voltagesMv = [1050, 1100, 1150, 1200, 1250, 1275];
const stock = { clockMhz: 4300, voltageMv: 1150 };
/** Each step of the invented machine is so much of its time. */
const stepS = 10;
const mostTaps = 80;
const patienceMs = 700_000;

/** What the phone says is to be set, as somebody at the machine reads it off. */
const setOn = (page: Page): Promise<SimulatedSetting | null> =>
  page.evaluate(() => {
    const value = (name: string) =>
      Number(
        document.querySelector<HTMLInputElement>(`#try [name="${name}"], #booted [name="${name}"]`)?.value,
      );
    const [clockMhz, voltageMv] = [value("clockMhz"), 1000 * value("voltageMv")];
    return clockMhz > 0 && voltageMv > 0 ? { clockMhz, voltageMv: Math.round(voltageMv * 10) / 10 } : null;
  });

journey("An evening with a machine that attends", () => {
  it("maps six voltages with one tap an attempt and no typed character", async () => {
    const { url } = await served();
    const bench = await benchAt(url, {
      chip: { stockClockMhz: stock.clockMhz, stockVoltageMv: stock.voltageMv, voltageCeilingMv: 1300 },
      boards: ["Quay L"],
    });
    const random = seededRandom(20_311);
    const machine = { ...demoBenches.frameL, chip: { ...demoBenches.frameL.chip, hazardWidthMhz: 6 } };
    // Each of the six voltages has been tried once, far below what it bears.
    for (const [i, voltageMv] of voltagesMv.entries()) {
      const clockMhz = 3900 + 75 * i;
      const ran = runAttempt(machine, { clockMhz, voltageMv }, allCoreLoad, 900, random);
      await bench.made(`/api/builds/${bench.build}/attempts`, {
        ...{ workloadId: bench.load, clockMhz, voltageMv, outcome: ran.outcome, durationS: ran.durationS },
        ...{ plannedS: 900, loadTempC: ran.loadTempC, ambientC: ran.ambientC, powerW: ran.powerW },
        startedAt: new Date(Date.UTC(2024, 2, 1, 18, 20 * i)).toISOString(),
      });
    }
    const page = await visitor({ timezoneId: "UTC", viewport: { width: 360, height: 740 }, hasTouch: true });
    await page.addInitScript(() => {
      for (const kind of ["keydown", "input"])
        addEventListener(kind, () => sessionStorage.setItem("typed", "yes"), { capture: true });
    });
    await page.goto(url);
    await page.getByText("Propose something else").tap();
    await page.getByText("Look for the limit over the voltages tried").tap();
    await page.waitForURL(/aim=map/);

    let machineS = 0;
    const evening = attendingEvening({
      ...{ bench: machine, stock, random, name: "bench-2", buildId: bench.build, nowS: () => machineS },
      send: httpTransport({ server: new URL(url), passphrase: null, complain: () => undefined }),
      hands: () => setOn(page),
    });
    let isOn = true;
    const passing = (async () => {
      while (isOn) {
        machineS += stepS;
        await evening.tick();
        await new Promise((resolve) => setTimeout(resolve, 5));
      }
    })();

    let taps = 0;
    let lookedAt = false;
    const settledMap = async (): Promise<readonly number[] | null> => {
      const address = `${url}/api/builds/${bench.build}/next?voltagesMv=${voltagesMv.join(",")}`;
      const { settled } = (await (await fetch(address)).json()) as {
        settled?: { map: { voltageMv: number }[] };
      };
      return settled?.map.map(({ voltageMv }) => voltageMv) ?? null;
    };
    const asked = page.locator("#booted button.first");
    for (let began = Date.now(); Date.now() - began < patienceMs && taps < mostTaps; ) {
      if ((await asked.count()) === 0) {
        await page.waitForTimeout(300);
        const isRunning = (await bench.attemptsOf(bench.build)).some(({ outcome }) => outcome === "running");
        if (!isRunning && (await setOn(page)) !== null && (await settledMap()) !== null) break;
        continue;
      }
      // The first question is looked at closely.
      if (!lookedAt) {
        lookedAt = true;
        expect(await page.locator("h1").textContent()).toContain("It has booted");
        expect(await page.locator(".presence").textContent()).toContain("bench-2 is here");
        const box = await asked.boundingBox();
        expect((box?.y ?? 740) + (box?.height ?? 0)).toBeLessThanOrEqual(740);
        await expectAccessible(page);
      }
      const once = page.locator('#booted input[name="once"]');
      const was = await once.getAttribute("value");
      await asked.tap();
      taps += 1;
      // Answered, the question is gone or is another one.
      await page.waitForFunction(
        (before) => document.querySelector<HTMLInputElement>('#booted input[name="once"]')?.value !== before,
        was,
      );
    }
    isOn = false;
    await passing;
    expect(await settledMap()).toEqual(voltagesMv);
    const attempts = (await bench.attemptsOf(bench.build)).slice(0, -voltagesMv.length);
    expect(taps).toBeLessThanOrEqual(attempts.length);
    // Every one told by the machine itself but the starts that failed, which were a tap.
    expect(
      attempts.filter(({ toldBy, outcome }) => toldBy !== "attendant" && outcome !== "fell-back"),
    ).toEqual([]);
    expect(attempts.some(({ outcome }) => outcome === "died")).toBe(true);
    expect(attempts.some(({ outcome }) => outcome === "pass")).toBe(true);
    expect(await page.evaluate(() => sessionStorage.getItem("typed"))).toBeNull();
    expect(page.complaints).toEqual([]);
  }, 900_000);
});
