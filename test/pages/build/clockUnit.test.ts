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
    expect(plain((await server.send("GET", "/builds")).body)).toMatch(/\d{4} MT\/s/);
  });
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
