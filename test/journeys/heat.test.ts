import { expect, it } from "vitest";
import { benchAt } from "../support/benchAt.ts";
import { expectAccessible, journey, served, visitor } from "../support/browser.ts";
import { madeLog, madeSamples } from "../support/madeLog.ts";

/** A served bench with an attempt that has ended, to read logs into. */
async function benchWithRuns(levels: readonly number[]) {
  const { url } = await served();
  const bench = await benchAt(url, { boards: ["Quay S", "Quay L"] });
  const attempts: string[] = [];
  for (const [i, level] of levels.entries()) {
    const id = await bench.made(`/api/builds/${bench.builds[i % 2]}/attempts`, {
      ...{ workloadId: bench.load, clockMhz: 4600, voltageMv: 1200, outcome: "pass", durationS: 1200 },
      startedAt: new Date(Date.parse("2026-05-03T10:00:00Z") + i * 3_600_000).toISOString(),
    });
    if (level > 0)
      await fetch(`${url}/api/attempts/${id}/trace`, {
        method: "POST",
        headers: { "content-type": "text/csv" },
        body: madeLog(1230, level),
      });
    attempts.push(id);
  }
  return { url, attempts, ...bench };
}

const logFile = { name: "run.csv", mimeType: "text/csv", buffer: Buffer.from(madeLog()) };

journey("A sensor log is read and looked into", () => {
  it("from the attempt, with a column corrected, to the level and a window of one's own", async () => {
    const { url, attempts } = await benchWithRuns([0]);
    const page = await visitor();
    await page.goto(`${url}/attempts/${attempts[0]}`);
    await page.getByRole("link", { name: "Add a sensor log" }).click();
    await page.getByLabel("Sensor log").setInputFiles(logFile);
    await page.getByRole("button", { name: "Look at its columns" }).click();
    await page.getByLabel("CPU temp [°C]").selectOption({ label: "kept under its own name" });
    await page.getByText("other column").click();
    await page.getByLabel("Board temp [°C]").selectOption({ label: "chip temperature, °C" });
    await expectAccessible(page);
    await page.getByRole("button", { name: "Read the log" }).click();
    await page.waitForURL(/\/heat\/[0-9a-f-]+(\/logs\/.*)?$/);
    await page.goto(`${url}/heat/${attempts[0]}`);
    const heading = page.locator("h1");
    expect(await heading.textContent()).toMatch(/Levelled out at (39|40)\.\d.±.0\.\d.°C/);

    // Read again as it was proposed: the correction was remembered, so it is put right by hand.
    await page.getByText("Read another log in place of this one").click();
    await page.getByLabel("Sensor log").setInputFiles(logFile);
    await page.getByRole("button", { name: "Look at its columns" }).click();
    expect(await page.locator(".lead").textContent()).toContain("As it was settled");
    await page.getByLabel("Board temp [°C]").selectOption({ label: "left out" });
    await page.getByText("other column").click();
    await page.getByLabel("CPU temp [°C]").selectOption({ label: "chip temperature, °C" });
    await page.getByRole("button", { name: "Read the log" }).click();
    await page.waitForLoadState();
    await page.goto(`${url}/heat/${attempts[0]}`);
    expect(await heading.textContent()).toMatch(
      /Levelled out at (79|80)\.\d.±.0\.\d.°C, 57\.\d.°C over the room/,
    );
    await page.locator("figure.drawn").waitFor();
    await expectAccessible(page);

    // An edge of the window pushed by key moves the field, and the answer follows.
    const level = page.locator("#heat-figures tbody tr").first().locator("td").nth(1);
    const before = await level.textContent();
    const edge = page.getByRole("slider", { name: "average from" });
    await edge.focus();
    for (let i = 0; i < 30; i += 1) await page.keyboard.press("PageDown");
    const fromS = Number(await page.getByRole("textbox", { name: "Average from" }).inputValue());
    expect(fromS).toBeLessThan(200);
    await expect.poll(() => level.textContent()).not.toBe(before);
    await expect.poll(() => new URL(page.url()).searchParams.get("fromS")).toBe(String(fromS));

    // Dragged, the same; the field follows the finger.
    const box = (await page.getByRole("slider", { name: "load start" }).boundingBox())!;
    await page.mouse.move(box.x + box.width / 2, box.y + box.height / 2);
    await page.mouse.down();
    await page.mouse.move(box.x + box.width / 2 + 40, box.y + box.height / 2, { steps: 4 });
    await page.mouse.up();
    const startS = Number(await page.getByRole("textbox", { name: "Load began at" }).inputValue());
    expect(startS).toBeGreaterThan(80);
    await expect.poll(() => new URL(page.url()).searchParams.get("loadStartS")).toBe(String(startS));

    // Typed, the same.
    await page.getByRole("textbox", { name: "Average from" }).fill("120");
    await page.getByRole("textbox", { name: "Average to" }).fill("180");
    await page.getByRole("button", { name: "Look again" }).click();
    await expect.poll(async () => Number.parseFloat((await level.textContent()) ?? "")).toBeLessThan(70);
    await page.getByRole("link", { name: "As found" }).click();
    expect(await level.textContent()).toBe(before);
    expect(page.complaints).toEqual([]);
  });

  it("which has no table to be seen, once it is said where that begins", async () => {
    const { url, attempts } = await benchWithRuns([0]);
    const page = await visitor({ viewport: { width: 360, height: 740 } });
    await page.goto(`${url}/heat/${attempts[0]}`);
    const rows = madeLog(400).split("\n").slice(1);
    await page.getByLabel("Or paste its lines").fill(["run 7", "12 at night", ...rows].join("\n"));
    await page.getByRole("button", { name: "Look at its columns" }).click();
    expect(await page.locator("h1").textContent()).toBe("Where does its table begin?");
    await expectAccessible(page);
    await page.getByLabel("Cells are parted by").selectOption("tabs");
    await page.getByRole("button", { name: "Look at its columns" }).click();
    expect(await page.getByRole("alert").textContent()).toContain("taken apart at tabs gives one cell");
    await page.getByLabel("Cells are parted by").selectOption("semicolons");
    await page.getByRole("button", { name: "Look at its columns" }).click();
    expect(await page.locator("h1").textContent()).toBe("5 columns: is this what they mean?");
    await page.getByLabel("column 1", { exact: true }).selectOption("time|s");
    await page.getByLabel("column 2", { exact: true }).selectOption("temperature|°C");
    await page.getByRole("button", { name: "Read the log" }).click();
    await page.waitForURL(/\/heat\/[0-9a-f-]+(\/logs\/.*)?$/);
    await page.goto(`${url}/heat/${attempts[0]}`);
    expect(await page.locator("h1").textContent()).toMatch(/(Levelled|level)/);
    expect(await page.evaluate(() => document.documentElement.scrollWidth)).toBeLessThanOrEqual(360);
    expect(page.complaints).toEqual([]);
  });

  it("without script", async () => {
    const { url, attempts } = await benchWithRuns([0]);
    const page = await visitor({ javaScriptEnabled: false });
    await page.goto(`${url}/heat/${attempts[0]}`);
    await page.getByLabel("Or paste its lines").fill(madeLog(400));
    await page.getByRole("button", { name: "Look at its columns" }).click();
    await page.getByRole("button", { name: "Read the log" }).click();
    await page.waitForLoadState();
    await page.goto(`${url}/heat/${attempts[0]}`);
    await page.getByRole("textbox", { name: "Average from" }).fill("300");
    await page.getByRole("button", { name: "Look again" }).click();
    expect(await page.getByRole("textbox", { name: "Average from" }).inputValue()).toBe("300");
    await page.getByRole("textbox", { name: "Look from" }).fill("2 min");
    await page.getByRole("textbox", { name: "Look to" }).fill("180");
    await page.getByRole("button", { name: "Look again" }).click();
    const ticks = await page.locator("figure .still svg").first().locator("text").allTextContents();
    expect(ticks).toContain("2.4");
    expect(ticks).not.toContain("5");
    expect(await page.locator("figure .still svg").first().isVisible()).toBe(true);
  });
});

journey("A long trace is looked at closely", () => {
  it("and brings finer points of the stretch, with every reading in its place", async () => {
    const { url, attempts } = await benchWithRuns([0]);
    const lines = madeLog(20_000).split("\n");
    lines[12_501] = "12500;99,5;40;110;22,5";
    await fetch(`${url}/api/attempts/${attempts[0]}/trace`, {
      method: "POST",
      headers: { "content-type": "text/csv" },
      body: lines.join("\n"),
    });
    const page = await visitor();
    const windows: string[] = [];
    page.on("request", (request) => {
      if (request.url().includes("/trace?")) windows.push(request.url());
    });
    await page.goto(`${url}/heat/${attempts[0]}`);
    // What takes long to read is swapped in by itself.
    await expect.poll(() => page.locator("h1").textContent()).toMatch(/^Levelled out at (79|80)/);
    await page.locator("#heat-figures").waitFor();
    const drawing = page.locator("figure.drawn .drawing");
    await drawing.waitFor();
    const reading = page.locator("figure.drawn .reading");
    /** The reading under the pointer as it goes along the middle of the chart; the first that begins like this. */
    const readAt = async (beginning: RegExp) => {
      const { x, y, width, height } = (await drawing.locator(".u-over").boundingBox())!;
      for (let right = -40; right <= 40; right += 1) {
        await page.mouse.move(x + width / 2 + right, y + height / 2);
        const words = ((await reading.textContent()) ?? "").replaceAll(/\s/g, " ");
        if (beginning.test(words)) return words;
      }
      return "nothing";
    };
    expect(await readAt(/^3:2[78]:\d\d/)).toMatch(/measured (79|8[01])\.\d °C/);
    expect(windows).toEqual([]);

    await drawing.focus();
    for (let i = 0; i < 22; i += 1) await page.keyboard.press("+");
    await expect.poll(() => readAt(/^3:28:20/)).toMatch(/measured 99\.5 °C/);
    expect(windows.length).toBeGreaterThan(0);
    const asked = new URL(windows.at(-1)!).searchParams;
    expect(Number(asked.get("to")) - Number(asked.get("from"))).toBeLessThan(400);

    // All of it again: as it was at first.
    await page.keyboard.press("0");
    await expect.poll(() => readAt(/^3:4\d:\d\d/)).toMatch(/measured (79|80)\.\d °C/);
    await expectAccessible(page);
    expect(page.complaints).toEqual([]);
  });
});

journey("Two runs are laid over one another", () => {
  it("as rise and as temperature, on a phone too", async () => {
    const { url } = await benchWithRuns([80, 70, 76]);
    const page = await visitor({ viewport: { width: 360, height: 740 } });
    await page.goto(`${url}/heat`);
    expect(await page.locator("h1").textContent()).toMatch(
      /^2 runs, 4[78]\.\d to 5[34]\.\d.°C over the room/,
    );
    for (const box of await page.getByRole("checkbox").all()) await box.setChecked(false);
    await page.getByRole("checkbox").nth(0).check();
    await page.getByRole("checkbox").nth(2).check();
    await page.getByLabel("Drawn as").selectOption("temperature");
    await page.getByRole("button", { name: "Lay them over one another" }).click();
    expect(await page.locator("h1").textContent()).toMatch(/^2 runs, 7[56]\.\d to (79|80)\.\d.°C under load/);
    await page.locator("figure.drawn").waitFor();
    expect(await page.locator("#overlaid tbody tr").count()).toBe(2);
    expect(
      await page
        .locator("figure .still")
        .evaluateAll((all) => all.filter((one) => one.checkVisibility()).length),
    ).toBe(0);
    expect(await page.evaluate(() => document.documentElement.scrollWidth)).toBeLessThanOrEqual(360);
    await expectAccessible(page);
    expect(page.complaints).toEqual([]);
  });
});

journey("Samples come in while an attempt runs", () => {
  it("and the bench says where it would level, and warns of the limit", async () => {
    const { url, build, made, load } = await benchWithRuns([]);
    const startedAt = new Date(Date.now() - 480_000).toISOString();
    const id = await made(`/api/builds/${build}/attempts`, {
      ...{ workloadId: load, clockMhz: 4600, voltageMv: 1200, outcome: "running", plannedS: 1800, startedAt },
    });
    const send = (seconds: number, level: number) =>
      fetch(`${url}/api/attempts/${id}/samples`, {
        method: "POST",
        headers: { "content-type": "text/csv" },
        body: madeSamples(seconds, level),
      });
    const page = await visitor();
    await page.goto(`${url}/?build=${build}`);
    const live = page.locator("#live-heat");
    expect(await live.textContent()).toContain("No samples come in.");
    expect((await send(200, 105)).status).toBe(200);
    await expect.poll(() => live.textContent()).toContain("Too early to say");
    await send(470, 105);
    await expect.poll(() => live.textContent()).toMatch(/cross the limit of 95 °C/);
    await expectAccessible(page);
    await page.goto(`${url}/sensors`);
    await expectAccessible(page);
    expect(page.complaints).toEqual([]);
  });
});

journey("Heat on paper and in forced colours", () => {
  it("has no fields on paper, and tells lines apart by their strokes where hues are one", async () => {
    const { url, attempts } = await benchWithRuns([80, 76]);
    const page = await visitor({ forcedColors: "active" });
    await page.addInitScript(() => {
      const { setLineDash } = CanvasRenderingContext2D.prototype;
      CanvasRenderingContext2D.prototype.setLineDash = function (dashes) {
        document.documentElement.dataset.dashes = `${document.documentElement.dataset.dashes ?? ""} ${[...dashes]};`;
        setLineDash.call(this, dashes);
      };
    });
    await page.goto(`${url}/heat?runs=${attempts.join(",")}`);
    await expect.poll(() => page.locator("html").getAttribute("data-dashes")).toContain(" 10,4;");
    expect(
      await page
        .locator('#chart-overlay .still path[stroke="var(--tone-second)"][fill="none"]')
        .first()
        .evaluate((line) => getComputedStyle(line).strokeDasharray),
    ).toMatch(/^10(px)?, 4(px)?$/);

    await page.emulateMedia({ media: "print" });
    expect(await page.locator("#runs h2").isVisible()).toBe(true);
    expect(await page.getByLabel("Drawn as").isVisible()).toBe(false);
    await page.goto(`${url}/heat/${attempts[0]}`);
    expect(await page.locator("#heat-numbers").isVisible()).toBe(true);
    expect(await page.locator("#heat-look").isVisible()).toBe(false);
    await page.goto(`${url}/attempts/${attempts[0]}`);
    const attach = page.getByText("Attach a picture");
    expect(await attach.isVisible()).toBe(false);
    await page.emulateMedia({ media: "screen" });
    expect(await attach.isVisible()).toBe(true);
    expect(page.complaints).toEqual([]);
  }, 60_000);
});
