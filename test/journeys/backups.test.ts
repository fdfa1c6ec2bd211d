import { copyFileSync, readFileSync, writeFileSync } from "node:fs";
import path from "node:path";
import { expect, it } from "vitest";
import { temporaryFolder } from "../support/bench.ts";
import { expectAccessible, journey, served, visitor } from "../support/browser.ts";
import { started } from "../support/program.ts";
import { spoiledFile } from "../support/spoiledFile.ts";

type Made = { id: string };

async function made(url: string, address: string, body: object): Promise<string> {
  const reply = await fetch(url + address, {
    method: "POST",
    headers: { "content-type": "application/json" },
    body: JSON.stringify(body),
  });
  return ((await reply.json()) as Made).id;
}

/** A bench on which so many attempts are recorded; gives a way to record another. */
async function recordedOn(url: string, attempts: number): Promise<() => Promise<string>> {
  const chipId = await made(url, "/api/chips", { name: "Tern 8", kind: "cpu", tempLimitC: 95 });
  const boardId = await made(url, "/api/boards", { name: "Quay S" });
  const workloadId = await made(url, "/api/workloads", { name: "Stacking", kind: "all-core" });
  const build = await made(url, "/api/builds", { name: "Cupboard", chipId, boardId });
  let clockMhz = 4000;
  const record = () => {
    clockMhz += 5;
    const draft = { workloadId, clockMhz, voltageMv: 1200, outcome: "pass", durationS: 900 };
    return made(url, `/api/builds/${build}/attempts`, draft);
  };
  for (let n = 0; n < attempts; n++) await record();
  return record;
}

const backups = "#backups";

journey("The backups of a journal", () => {
  it("are listed with size and age, looked over, and put in place, and what was there is kept", async () => {
    const { url, journal } = await served();
    const record = await recordedOn(url, 3);
    const page = await visitor({ timezoneId: "UTC" });
    await page.goto(`${url}/journal`);
    await page.getByRole("button", { name: "Back up now" }).click();
    await expect
      .poll(() => page.locator(backups).textContent())
      .toMatch(/Backed up as journal-\d{8}-\d{6}\.db\./);
    expect(await page.locator(`${backups} li`).allTextContents()).toEqual([
      expect.stringMatching(/KiB, less than an hour old/),
    ]);
    await record();
    await page.goto(`${url}/journal`);
    await page.locator(backups).getByRole("link", { name: "Look it over" }).click();
    await expect.poll(() => page.locator(backups).textContent()).toContain(".db is whole.");
    await expectAccessible(page);
    await page.getByRole("button", { name: "Put it in place" }).click();
    await expect.poll(() => page.locator(backups).textContent()).toContain("is in place.");
    const said = (await page.locator(backups).textContent()) ?? "";
    const [, aside = ""] = /kept as (\S+)\.Made/.exec(said) ?? /kept as (\S+\.db)/.exec(said) ?? [];
    expect([path.dirname(aside), readFileSync(aside).length > 0]).toEqual([path.dirname(journal), true]);
    await expect.poll(() => page.locator("main").textContent()).toContain("3 attempts");
    expect(page.complaints).toEqual([]);
  });

  it("go elsewhere locked with words, and are put in place there by the same words", async () => {
    const { url } = await served();
    await recordedOn(url, 3);
    const page = await visitor({ timezoneId: "UTC" });
    await page.goto(`${url}/journal`);
    await page.getByText("Download one that only words open").click();
    const words = page.getByLabel("Words to lock it with");
    await words.fill("short");
    await page.getByRole("button", { name: "Download it locked" }).click();
    await expect
      .poll(() => page.locator(backups).textContent())
      .toContain("Words that lock have at least 8 characters.");
    expect(await words.inputValue()).toBe("");
    await expectAccessible(page);
    await words.fill("five words drawn by chance");
    const sent = page.waitForEvent("download");
    await page.getByRole("button", { name: "Download it locked" }).click();
    const download = await sent;
    expect(download.suggestedFilename()).toMatch(/^journal-\d{8}-\d{4}\.db\.age$/);
    const elsewhere = temporaryFolder();
    const [locked, said] = ["journal.db.age", "words"].map((name) => path.join(elsewhere, name)) as [
      string,
      string,
    ];
    await download.saveAs(locked);
    expect(readFileSync(locked, "latin1")).toMatch(/^age-encryption\.org\/v1\n/);
    writeFileSync(said, "five words drawn by chance");
    const journal = path.join(elsewhere, "journal.db");
    const restored = await started(["restore", locked, "--journal", journal, "--locked-with", said]).ended;
    expect([restored.code, restored.err]).toEqual([0, ""]);
    const there = await served(journal);
    await page.goto(`${there.url}/journal`);
    await expect.poll(() => page.locator("main").textContent()).toContain("3 attempts");
    expect(page.complaints.filter((one) => !one.includes("422"))).toEqual([]);
  });

  it("bring back a journal that was damaged, from its own page", async () => {
    const first = await served();
    await recordedOn(first.url, 150);
    const page = await visitor({ timezoneId: "UTC" });
    await page.goto(`${first.url}/journal`);
    await page.getByRole("button", { name: "Back up now" }).click();
    await expect.poll(() => page.locator(backups).textContent()).toContain("Backed up as");
    const name = /journal-\d{8}-\d{6}\.db/.exec((await page.locator(backups).textContent()) ?? "")?.[0] ?? "";
    const folder = path.join(path.dirname(first.journal), "backups");
    const damaged = spoiledFile(path.join(folder, name), "attempts", [2, 3], "journal.db");
    await first.kill();
    const { url } = await served(damaged, ["--backups", folder]);
    await page.goto(`${url}/journal`);
    await page.getByRole("link", { name: "Look it over" }).first().click();
    await page.goto(`${url}/builds`);
    await page.goto(`${url}/`);
    await expect.poll(() => page.locator("main").textContent()).toContain("The journal is damaged.");
    const export_ = (await (await fetch(`${url}/api/export`)).json()) as {
      notRead: string;
      attempts: object[];
    };
    expect(export_.notRead).toContain("of attempts could not be read");
    expect(export_.attempts.length).toBeGreaterThan(50);
    await page.goto(`${url}/journal`);
    await page.locator(backups).getByRole("link", { name: "Look it over" }).click();
    await page.getByRole("button", { name: "Put it in place" }).click();
    await expect.poll(() => page.locator(backups).textContent()).toContain("is in place.");
    await page.goto(`${url}/journal`);
    await expect.poll(() => page.locator("main").textContent()).toContain("150 attempts");
    expect(await page.locator("main").textContent()).not.toContain("The journal is damaged.");
  });

  it("lie where they were told to, on another disk, and bring the journal back once its own disk is gone", async () => {
    const elsewhere = path.join(temporaryFolder(), "other disk");
    const first = await served(undefined, ["--backups", elsewhere]);
    await recordedOn(first.url, 3);
    const page = await visitor({ timezoneId: "UTC" });
    await page.goto(`${first.url}/journal`);
    expect(await page.locator(backups).textContent()).toContain(elsewhere);
    await page.getByRole("button", { name: "Back up now" }).click();
    await expect.poll(() => page.locator(backups).textContent()).toContain("Backed up as");
    await first.kill();
    const { url, journal } = await served(undefined, ["--backups", elsewhere]);
    expect(path.dirname(journal)).not.toBe(path.dirname(first.journal));
    await page.goto(`${url}/journal`);
    await expect
      .poll(() => page.locator("main").textContent())
      .toContain("The journal holds no attempts yet");
    await page.locator(backups).getByRole("link", { name: "Look it over" }).click();
    await page.getByRole("button", { name: "Put it in place" }).click();
    await expect.poll(() => page.locator(backups).textContent()).toContain("is in place.");
    await expect.poll(() => page.locator("main").textContent()).toContain("3 attempts");
    expect(page.complaints).toEqual([]);
  });

  it("are not all there is: one whose log is gone is shown, and goes on when its owner says so", async () => {
    const first = await served();
    const record = await recordedOn(first.url, 2);
    await expect.poll(async () => (await fetch(`${first.url}/api/health`)).ok).toBe(true);
    await record();
    const copy = path.join(temporaryFolder(), "journal.db");
    copyFileSync(first.journal, copy);
    await first.kill();
    const { url } = await served(copy);
    const page = await visitor({ timezoneId: "UTC" });
    await page.goto(url);
    await expect.poll(() => page.locator("main").textContent()).toContain("journal.db-wal, is gone");
    await page.goto(`${url}/journal`);
    await page.getByRole("button", { name: "Go on without it" }).click();
    await expect.poll(() => page.locator("main").textContent()).not.toContain("is gone");
    expect(await made(url, "/api/boards", { name: "Mole" })).toMatch(/^[0-9a-f-]{36}$/);
  });
});
