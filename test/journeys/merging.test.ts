import { readFileSync } from "node:fs";
import type { Page } from "playwright-core";
import { expect, it } from "vitest";
import { benchAt } from "../support/benchAt.ts";
import { expectAccessible, journey, served, visitor } from "../support/browser.ts";
import { madeLog } from "../support/madeLog.ts";

type Thing = { id: string };

async function sent(url: string, method: string, body?: object): Promise<Thing> {
  const reply = await fetch(url, {
    method,
    headers: { "content-type": "application/json" },
    ...(body && { body: JSON.stringify(body) }),
  });
  if (!reply.ok) throw new Error(`${method} ${url} answered ${reply.status}`);
  return reply.status === 204 ? { id: "" } : ((await reply.json()) as Thing);
}

async function logged(url: string, csv: string): Promise<void> {
  const reply = await fetch(url, { method: "POST", headers: { "content-type": "text/csv" }, body: csv });
  if (!reply.ok) throw new Error(await reply.text());
}

const isInView = (page: Page, selector: string): Promise<boolean> =>
  page
    .locator(selector)
    .first()
    .evaluate((element) => {
      const { top, bottom } = element.getBoundingClientRect();
      return bottom > 0 && top < innerHeight;
    });

const documentOf = async (url: string): Promise<string> => (await fetch(`${url}/api/export`)).text();

const heldBy = async (url: string): Promise<object> => ({
  ...(JSON.parse(await documentOf(url)) as object),
  exportedAt: null,
});

journey("Two benches", () => {
  it("hear of one another: what was edited apart is told, a merge is undone with one tap, and in the end both hold the same", async () => {
    const [here, there] = [await served(), await served()];
    const chip = await sent(`${here.url}/api/chips`, "POST", { name: "Tern 8", kind: "cpu", tempLimitC: 95 });
    const board = await sent(`${here.url}/api/boards`, "POST", { name: "Quay S" });
    const load = await sent(`${here.url}/api/workloads`, "POST", { name: "Stacking", kind: "all-core" });
    const parts = { name: "Cupboard", chipId: chip.id, boardId: board.id };
    const build = await sent(`${here.url}/api/builds`, "POST", parts);
    const pass = { workloadId: load.id, clockMhz: 4600, voltageMv: 1200, outcome: "pass", durationS: 900 };
    const attempt = await sent(`${here.url}/api/builds/${build.id}/attempts`, "POST", pass);
    await sent(`${there.url}/api/import`, "POST", JSON.parse(await documentOf(here.url)) as object);
    await sent(`${there.url}/api/attempts/${attempt.id}`, "PATCH", { note: "fan off", score: 12 });
    await sent(`${here.url}/api/attempts/${attempt.id}`, "PATCH", { note: "fan on" });
    await sent(`${there.url}/api/builds/${build.id}/attempts`, "POST", { ...pass, clockMhz: 4650 });

    const page = await visitor({ timezoneId: "UTC" });
    const merge = async () => {
      await page.goto(`${here.url}/journal`);
      const buffer = Buffer.from(await documentOf(there.url));
      const file = { name: "journal.json", mimeType: "application/json", buffer };
      await page.getByLabel("Exported journal").setInputFiles(file);
      await page.getByRole("button", { name: "Merge it" }).click();
      await expect.poll(() => page.locator("#merge").textContent()).toContain("1 added, 1 updated");
    };
    await merge();
    expect(await page.locator("#merge table").textContent()).toContain("Both were edited apart");
    await expectAccessible(page);
    await page.getByRole("button", { name: "Undo it: Taken in" }).click();
    await expect.poll(() => page.locator("#merge").textContent()).toContain("The merge is undone: 2 things");
    await page.goto(`${here.url}/attempts/${attempt.id}`);
    expect(await page.locator("main").textContent()).not.toContain("edited on two benches apart");

    await merge();
    await page.goto(`${here.url}/attempts/${attempt.id}`);
    const history = page.getByText("edited on two benches apart");
    expect(await history.count()).toBe(2);
    await expectAccessible(page);
    await sent(`${there.url}/api/import`, "POST", JSON.parse(await documentOf(here.url)) as object);
    expect(await heldBy(there.url)).toEqual(await heldBy(here.url));
    expect(page.complaints).toEqual([]);
  });

  it("keep what gave way: it is looked at, taken away as CSV, and brought back with one tap, which may be taken back too", async () => {
    const [here, there] = [await served(), await served()];
    const { build, load } = await benchAt(here.url);
    const pass = { workloadId: load, clockMhz: 4600, voltageMv: 1200, outcome: "pass", durationS: 900 };
    const { id } = await sent(`${here.url}/api/builds/${build}/attempts`, "POST", pass);
    await sent(`${there.url}/api/import`, "POST", JSON.parse(await documentOf(here.url)) as object);
    for (const [{ url }, output, rows] of [
      [there, "one error at 14 min", 300],
      [here, "zero errors", 600],
    ] as const) {
      await sent(`${url}/api/attempts/${id}`, "PATCH", { output });
      await logged(`${url}/api/attempts/${id}/trace`, madeLog(rows));
    }
    await sent(`${here.url}/api/import`, "POST", JSON.parse(await documentOf(there.url)) as object);

    const page = await visitor({ timezoneId: "UTC", viewport: { width: 360, height: 740 } });
    await page.goto(`${here.url}/attempts/${id}`);
    const history = page.locator("main").filter({ hasText: "another trace:" });
    expect(await history.textContent()).toMatch(/another trace: .* over 5 min, 300 rows/);
    await page.getByText("What its load printed there").click();
    expect(await page.locator("pre").filter({ hasText: "one error at 14 min" }).isVisible()).toBe(true);
    await expectAccessible(page);
    const [download] = await Promise.all([
      page.waitForEvent("download"),
      page.getByRole("link", { name: "Its values as CSV" }).click(),
    ]);
    expect(
      readFileSync(await download.path(), "utf8")
        .trim()
        .split("\r\n"),
    ).toHaveLength(301);

    const printed = () =>
      page.locator("details", { hasText: "What its load printed" }).first().locator("pre").textContent();
    expect(await printed()).toContain("zero errors");
    const item = (words: string) => page.getByRole("listitem").filter({ hasText: words });
    await item("other words of its load").getByRole("button", { name: "Bring it back" }).click();
    await expect.poll(printed).toContain("one error at 14 min");
    await expect.poll(() => isInView(page, "#history li")).toBe(true);
    await page.getByText("What its load printed there").click();
    expect(await page.locator("pre").filter({ hasText: "zero errors" }).isVisible()).toBe(true);
    await item("another trace").getByRole("button", { name: "Bring it back" }).click();
    await expect.poll(() => history.textContent()).toMatch(/another trace: .* over 10 min, 600 rows/);
    await item("another trace").getByRole("button", { name: "Bring it back" }).click();
    await expect.poll(() => history.textContent()).toMatch(/another trace: .* over 5 min, 300 rows/);
    await sent(`${there.url}/api/import`, "POST", JSON.parse(await documentOf(here.url)) as object);
    expect(await heldBy(there.url)).toEqual(await heldBy(here.url));
    expect(page.complaints).toEqual([]);
  });
});
