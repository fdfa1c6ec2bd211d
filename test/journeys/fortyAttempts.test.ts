import type { Page } from "playwright-core";
import { expect, it } from "vitest";
import { seededRandom } from "../../server/numerics/seededRandom.ts";
import { disagreements, saidAtOnce } from "../support/answersSaid.ts";
import type { TestServer } from "../support/bench.ts";
import { expectAccessible, journey, served, visitor } from "../support/browser.ts";
import { ranOn, simulatedChip } from "../support/simulatedChip.ts";

type Run = Readonly<{
  clockMhz: number;
  voltageMv: number;
  durationS: number;
  outcome: string;
  tempC: number;
}>;

/** What stands on the page once the whole record was weighed. */
async function settled(page: Page): Promise<void> {
  await page.waitForFunction(() => !document.querySelector("main [data-later]"), undefined, {
    timeout: 30_000,
  });
  const late = page.locator(".late a");
  if ((await late.count()) > 0) await Promise.all([page.waitForURL(/clockMhz=/), late.click()]);
}

const proposedOn = (page: Page) =>
  page.evaluate(() => {
    const value = (name: string) => Number(document.querySelector<HTMLInputElement>(`#field-${name}`)?.value);
    return { clockMhz: value("clockMhz"), voltageMv: 1000 * value("voltageMv"), minutes: value("plannedS") };
  });

/** Types what happened into the form of the bench, and presses the button that says how it ended. */
async function logged(page: Page, run: Run, startedAt: string, ambientC: number | null): Promise<void> {
  await page.evaluate(
    ({ values, button }) => {
      for (const fold of document.querySelectorAll("details")) fold.open = true;
      for (const [name, value] of Object.entries(values)) {
        const field = document.querySelector<HTMLInputElement>(`#try [name="${name}"]`);
        if (!field) throw new Error(`no field ${name}`);
        field.value = value;
      }
      document.querySelector<HTMLButtonElement>(button)?.click();
    },
    {
      button: `#log-${run.outcome}`,
      values: {
        durationS: `${run.durationS} s`,
        startedAt,
        ambientC: ambientC === null ? "" : String(ambientC),
        loadTempC: run.tempC > 0 ? String(run.tempC) : "",
      },
    },
  );
}

/** As hard as a failure that no later, longer pass speaks against; where heat may have been the cause, at its voltage only. */
const isBarred = (runs: readonly Run[], asked: Readonly<{ clockMhz: number; voltageMv: number }>): boolean =>
  runs.some(
    (failed, i) =>
      failed.outcome !== "pass" &&
      asked.clockMhz >= failed.clockMhz &&
      (failed.tempC >= 85 ? asked.voltageMv === failed.voltageMv : asked.voltageMv <= failed.voltageMv) &&
      !runs
        .slice(i + 1)
        .some(
          (later) =>
            later.outcome === "pass" &&
            later.clockMhz >= failed.clockMhz &&
            later.voltageMv <= failed.voltageMv &&
            later.durationS > failed.durationS,
        ),
  );

journey("A day of forty attempts on a simulated chip", () => {
  it("goes by what the bench proposes, and shows one answer everywhere at every step", async () => {
    const random = seededRandom(11_000_021);
    const chip = simulatedChip("mixed", random, { limitMhz: 4950, softnessMhz: 10, resistanceCPerW: 0.25 });
    const { url } = await served();
    const page = await visitor({ timezoneId: "UTC" });
    await page.goto(url);
    await page.locator("#field-chipName").fill("Tern 8");
    await page.getByLabel("Temperature limit", { exact: false }).first().fill("95");
    await page.getByLabel("Stock clock").fill("4300");
    await page.getByLabel("Stock voltage").fill("1.15");
    await page.getByLabel("Voltage ceiling").fill("1.25");
    await page.getByLabel("Board", { exact: false }).first().fill("Quay S");
    await page.locator("#field-workloadName").fill("Stacking");
    await page.getByRole("button", { name: "To the first attempt" }).click();
    await page.waitForURL(/build=/);
    const build = new URL(page.url()).searchParams.get("build") as string;
    const { items } = (await (await fetch(`${url}/api/chips`)).json()) as { items: { id: string }[] };
    const world = { chip: items[0]!.id, builds: [{ id: build, name: "Tern 8 on Quay S" }] };
    const server = {
      send: async (_: string, address: string) => {
        const reply = await fetch(url + address);
        const isJson = reply.headers.get("content-type")?.includes("json");
        return { status: reply.status, body: isJson ? await reply.json() : await reply.text(), headers: {} };
      },
    } as unknown as TestServer;

    const runs: Run[] = [];
    const barred: string[] = [];
    const told: string[] = [];
    let at = Date.now() - 80 * 3_600_000;
    const tryOne = async (): Promise<void> => {
      const asked = await proposedOn(page);
      const step = `attempt ${runs.length + 1}: ${asked.clockMhz} at ${asked.voltageMv}`;
      if (isBarred(runs, asked)) barred.push(step);
      const { row } = ranOn(chip, asked, random);
      const run = {
        clockMhz: asked.clockMhz,
        voltageMv: asked.voltageMv,
        durationS: row.durationS,
        outcome: row.outcome,
        tempC: row.loadTempC ?? 0,
      };
      await logged(page, run, new Date(at).toISOString().replace("T", " ").slice(0, 16), row.ambientC);
      await page
        .getByText(/^Kept: /)
        .first()
        .waitFor();
      runs.push(run);
      told.push(`${step} ${run.outcome}`);
      at += 1000 * row.durationS + 300_000;
      await server.send("GET", `/api/builds/${build}/best`);
      expect(disagreements(await saidAtOnce(server, world)), step).toEqual([]);
      await page.reload();
      await settled(page);
    };
    /** Attempts as they are proposed until the page says that enough is known, or forty are through. */
    const tryUntil = async (enough: () => Promise<boolean>): Promise<void> => {
      await settled(page);
      while (runs.length < 40 && !(await enough())) await tryOne();
    };
    const isShown = (selector: string, text: RegExp) => async (): Promise<boolean> =>
      (await page.locator(selector, { hasText: text }).count()) > 0;
    const isDone = isShown("#answer-body", /Done\..*Good enough to stop/s);

    await tryUntil(isDone);
    expect(runs.length, told.join("\n")).toBeLessThan(20);
    const left = page.getByRole("list", { name: "What is left" });
    expect(await left.locator("li", { hasText: "Other voltages" }).textContent()).toMatch(/1\.2/);

    await page.getByRole("link", { name: "Other voltages" }).click();
    await page.waitForURL(/aim=map/);
    await tryUntil(isShown(".answer", /At .* voltages? .*known near enough/));
    expect(runs.length, told.join("\n")).toBeLessThan(40);

    await page.getByText("Propose something else").click();
    await page.locator("#field-atMhz").fill("4300");
    await page.getByRole("button", { name: "Look for it" }).click();
    await page.waitForURL(/aim=voltage/);
    await tryUntil(isShown(".answer", /4300 MHz at [\d.]+ V passes an hour/));

    await page.getByRole("link", { name: "The highest clock instead" }).click();
    await page.waitForURL((url) => !url.search.includes("aim="));
    await tryUntil(async () => false);
    expect(barred).toEqual([]);
    expect(runs).toHaveLength(40);
    expect(await isDone(), told.join("\n")).toBe(true);
    await expectAccessible(page);
    expect(page.complaints).toEqual([]);
  }, 420_000);
});
