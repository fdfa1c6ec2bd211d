import { writeFileSync } from "node:fs";
import path from "node:path";
import { expect, it } from "vitest";
import { temporaryFolder } from "../support/bench.ts";
import { benchDay } from "../support/benchDay.ts";
import { expectAccessible, journey, served, visitor } from "../support/browser.ts";

type Made = { id: string };

async function benchOn(url: string) {
  const made = async (address: string, body: object): Promise<string> => {
    const reply = await fetch(url + address, {
      method: "POST",
      headers: { "content-type": "application/json" },
      body: JSON.stringify(body),
    });
    return ((await reply.json()) as Made).id;
  };
  const chipId = await made("/api/chips", { name: "Tern 8", kind: "cpu", tempLimitC: 95 });
  const boardId = await made("/api/boards", { name: "Quay S" });
  return made("/api/builds", { name: "Cupboard", chipId, boardId });
}

const attemptsOf = async (url: string, build: string) =>
  ((await (await fetch(`${url}/api/builds/${build}/attempts?limit=500`)).json()) as { items: object[] })
    .items;

function dayFile(): { file: string; day: ReturnType<typeof benchDay> } {
  const day = benchDay();
  const file = path.join(temporaryFolder(), "bench day.csv");
  writeFileSync(file, day.csv);
  return { file, day };
}

journey("A bench day in a spreadsheet", () => {
  it("is imported from its file: bad lines are shown with the reason, mended in place, and none is taken twice", async () => {
    const { url } = await served();
    const build = await benchOn(url);
    const { file, day } = dayFile();
    const page = await visitor({ timezoneId: "UTC" });
    await page.goto(`${url}/journal`);
    await page.getByRole("link", { name: "Import attempts from CSV" }).click();
    await page.getByLabel("File", { exact: true }).setInputFiles(file);
    await page.getByRole("button", { name: "Look at it" }).click();
    await page.getByLabel("“all cores” is which load?").selectOption("new:all-core");
    await page.getByRole("button", { name: "Look again" }).click();
    const heading = () => page.locator("h1").textContent();
    await expect
      .poll(heading)
      .toBe(
        `${day.good.length} attempts can be imported, ${day.bad.length - 1} lines cannot, 1 line waits for a word`,
      );
    const lines = await page.locator("#refused tbody tr td:first-child").allTextContents();
    expect(lines.map(Number).sort((a, b) => a - b)).toEqual(day.bad.map(({ line }) => line));
    await expectAccessible(page);
    expect(await attemptsOf(url, build)).toEqual([]);

    // Who looks elsewhere and comes back finds what was read, not the form anew.
    await page.evaluate(() => document.dispatchEvent(new Event("visibilitychange")));
    await page.waitForTimeout(500);
    await page.getByText("The file as it was read").click();
    const text = page.getByRole("textbox", { name: "Lines" });
    await text.fill((await text.inputValue()).replace("4.6O", "4.60"));
    await page.getByRole("button", { name: "Look again" }).click();
    await expect.poll(heading).toContain(`${day.bad.length - 2} lines cannot`);
    await page.getByRole("button", { name: /^Import/ }).click();
    await expect.poll(heading).toBe(`${day.good.length + 1} attempts imported`);
    expect(await attemptsOf(url, build)).toHaveLength(day.good.length + 1);
    await expectAccessible(page);

    await page.getByRole("link", { name: "Another file" }).click();
    await page.getByLabel("File", { exact: true }).setInputFiles(file);
    await page.getByRole("button", { name: "Look at it" }).click();
    await expect.poll(heading).toMatch(/^No attempts can be imported/);
    expect(await page.locator(".lead").first().textContent()).toContain(
      `${day.good.length} lines are in the journal already`,
    );
    expect(page.complaints).toEqual([]);
  }, 180_000);
});

journey("The desk pages", () => {
  it("are accessible in both themes, empty and filled, and never scroll sideways on a phone", async () => {
    const { url } = await served();
    const page = await visitor({ viewport: { width: 360, height: 740 } });
    const look = async (address: string) => {
      await page.goto(url + address);
      expect(
        await page.evaluate(() => document.documentElement.scrollWidth - innerWidth),
        address,
      ).toBeLessThanOrEqual(0);
      await expectAccessible(page);
    };
    const always = [
      "/parts",
      "/parts/chips/new",
      "/parts/rules/new",
      "/builds/new",
      "/journal",
      "/journal/import",
      "/cautions",
    ];
    for (const address of always) await look(address);
    const build = await benchOn(url);
    const filled = ["/parts", "/builds/new", "/journal", "/journal/integrity", "/journal/import"];
    const own = [`/builds/${build}/edit`, `/builds/${build}/mounts`, `/builds/new?basedOn=${build}`];
    for (const address of [...filled, ...own]) await look(address);
    expect(page.complaints).toEqual([]);
  }, 180_000);
});
