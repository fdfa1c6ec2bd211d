import { describe, expect, it } from "vitest";
import { type TestServer, testServer } from "../../support/bench.ts";
import { cardWorld, memoryWorld } from "../../support/settingWorlds.ts";

async function log({ send }: TestServer, build: string, attempts: readonly object[]): Promise<void> {
  for (const [i, attempt] of attempts.entries()) {
    const startedAt = new Date(Date.UTC(2031, 4, 3, 8, 40 * i)).toISOString();
    const { status } = await send("POST", `/api/builds/${build}/attempts`, { startedAt, ...attempt });
    expect(status).toBe(201);
  }
}

const plain = (html: unknown): string =>
  String(html)
    .replace(/<script type="application\/json".*?<\/script>/gs, "")
    .replace(/<[^>]+>/g, " ");

describe("a chip whose clocks are rates", () => {
  it("says MT/s on its pages, in its answers and in its note, and nowhere MHz", async () => {
    const server = await testServer();
    const { build, load } = await memoryWorld(server);
    const at = (clockMhz: number, outcome: string) => ({
      ...{ workloadId: load, clockMhz, voltageMv: 1350, outcome, loadTempC: 48, ambientC: 21 },
      durationS: outcome === "pass" ? 3600 : 200,
    });
    const [low, mid, high] = [5600, 6000, 6400] as const;
    await log(server, build, [
      at(low, "pass"),
      at(mid, "pass"),
      at(mid, "pass"),
      at(high, "wrong-result"),
      at(high, "wrong-result"),
    ]);
    for (const kind of ["limit", "next", "best"]) {
      const { body } = await server.send("GET", `/api/builds/${build}/${kind}`);
      expect(JSON.stringify(body), kind).not.toMatch(/\d MHz/);
    }
    for (const page of [`/?build=${build}`, `/builds/${build}`, `/builds/${build}/note`]) {
      const words = plain((await server.send("GET", page)).body);
      expect(words, page).toContain("MT/s");
      // What was read of a clock stays asked in its own unit.
      expect(
        (words.match(/.{30}MHz.{20}/g) ?? []).filter((one) => !one.includes("Effective clock")),
        page,
      ).toEqual([]);
    }
    expect(plain((await server.send("GET", "/builds")).body)).toMatch(/\d{4}\s+MT\/s/);
  });
});

/** Pages lead to one another under many ids and choices: one of each shape is enough. */
const shapeOf = (address: string): string =>
  address.replace(/[0-9a-f]{8}-[0-9a-f-]{27}/g, "*").replace(/=[^&]*/g, "=");

/** Every page that links lead to, a page of each shape. */
async function pagesFrom(server: TestServer, starts: readonly string[]): Promise<Map<string, string>> {
  const found = new Map<string, string>();
  const shapes = new Set<string>();
  const waiting = [...starts];
  for (let address = waiting.shift(); address !== undefined; address = waiting.shift()) {
    if (shapes.has(shapeOf(address))) continue;
    shapes.add(shapeOf(address));
    const { headers, body } = await server.app.inject({ url: address });
    if (!String(headers["content-type"]).startsWith("text/html")) continue;
    found.set(address, body);
    for (const [, href = ""] of body.matchAll(/href="(\/[^"#]*)/g))
      if (!/^\/(vendor|web|journal\/(export|backup))/.test(href)) waiting.push(href.replaceAll("&amp;", "&"));
  }
  return found;
}

describe("every page of a journal that holds a memory alone", () => {
  /** Two builds, heat recorded, loudness read: what each kind of page needs to have something to say. */
  async function setOnTwoBuilds(server: TestServer): Promise<readonly [string, string]> {
    const { build, load, board, set } = await memoryWorld(server);
    const fanned = { name: "Set A, fanned", chipId: set, boardId: board, basedOn: build, change: "a fan" };
    const other = (await server.send("POST", "/api/builds", fanned)).body.id as string;
    const trace = Array.from(
      { length: 300 },
      (_, i) => `${i * 12},${(48 - 25 * Math.exp(-i / 30)).toFixed(2)}`,
    );
    const csv = { "content-type": "text/csv" };
    for (const [n, id] of [build, other].entries()) {
      for (const [i, clockMhz] of [5600, 6000, 6000, 6400].entries()) {
        const passed = clockMhz < 6400;
        const { body } = await server.send("POST", `/api/builds/${id}/attempts`, {
          startedAt: new Date(Date.UTC(2031, 4, 3, 8 + 2 * i, 30 * n)).toISOString(),
          ...{ workloadId: load, clockMhz, voltageMv: 1350, outcome: passed ? "pass" : "wrong-result" },
          ...{
            durationS: passed ? 3600 : 200,
            loadTempC: 48 + i / 3,
            ambientC: 21,
            powerW: 11 + i,
            score: 80,
          },
        });
        const payload = `time [s],temp [C]\n${trace.join("\n")}`;
        if (passed)
          await server.app.inject({
            method: "POST",
            url: `/api/attempts/${body.id}/trace`,
            headers: csv,
            payload,
          });
      }
      const heard = { workloadId: load, clockMhz: 6000, voltageMv: 1350, distanceM: 1, levelsDba: [34 - n] };
      await server.send("POST", `/api/builds/${id}/noise`, heard);
    }
    return [build, other];
  }

  it("writes its rates in MT/s, and says MHz only where a new chip is asked about", async () => {
    const server = await testServer();
    const [build, other] = await setOnTwoBuilds(server);
    const starts = ["/", `/compare?a=${build}&b=${other}`, `/write-up?builds=${build}&builds=${other}`];
    const pages = await pagesFrom(server, starts);
    for (const shape of ["/heat", "/heat/*", "/changes?chip=", "/noise", "/parts", "/builds/*/power"])
      expect([...pages.keys()].map(shapeOf).join(" "), shape).toContain(shape);
    for (const [address, html] of pages) {
      if (address.startsWith("/parts/chips/")) continue;
      // Charts tell what they draw as data.
      const words = html.replace(/<[^>]+>/g, " ").replace(/\s+/g, " ");
      expect(words.match(/.{40}MHz.{20}/)?.[0], address).toBeUndefined();
    }
  }, 120_000);
});

describe("a chip that is set by offset", () => {
  it("is after the hardest offset, not the highest clock", async () => {
    const server = await testServer();
    const { rig, load } = await cardWorld(server);
    await log(server, rig, [{ workloadId: load, offset: 60, outcome: "pass", durationS: 1200 }]);
    for (const page of [`/?build=${rig}`, `/builds/${rig}`]) {
      const words = plain((await server.send("GET", page)).body);
      expect(words, page).toContain("the hardest offset for a benchmark");
      expect(words, page).not.toContain("the highest clock for");
    }
  });
});
