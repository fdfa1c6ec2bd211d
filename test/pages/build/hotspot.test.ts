import { describe, expect, it } from "vitest";
import { testServer } from "../../support/bench.ts";
import { cardWorld } from "../../support/settingWorlds.ts";

/** A card whose hotspot stood so many degrees over the edge, run after run, an hour apart. */
async function cardRead(over: readonly number[]) {
  const server = await testServer();
  const { rig, load } = await cardWorld(server);
  let hour = 0;
  const run = async (overC: number): Promise<void> => {
    hour += 1;
    const reply = await server.send("POST", `/api/builds/${rig}/attempts`, {
      ...{ workloadId: load, offset: 60, outcome: "pass", durationS: 1200, loadTempC: 66, ambientC: 22 },
      temps: { hotspot: 66 + overC },
      startedAt: new Date(Date.UTC(2031, 4, 1, 0) + hour * 3_600_000).toISOString(),
    });
    expect(reply.status, JSON.stringify(reply.body)).toBe(201);
  };
  for (const overC of over) await run(overC);
  const told = async () => (await server.send("GET", `/api/builds/${rig}/frontier`)).body.hotspot;
  const page = async (): Promise<string> => (await server.send("GET", `/builds/${rig}`)).body;
  return { ...server, rig, run, told, page };
}

const grewBySix =
  "The hotspot stands 19 °C above the edge: it grew 6 degrees since this mount, paste or contact. Look at both before going further.";
const asWhenNew = "The hotspot stands 13 °C above the edge, as when this mount was new.";

describe("a hotspot that moved away from the edge since the cooler was put on", () => {
  it("is found, told by the interface and a caution on the build's page", async () => {
    const { told, page } = await cardRead([13, 13, 13, 15, 19, 19, 19]);
    expect(await told()).toMatchObject({
      ...{ place: "hotspot", nowC: 19, grewC: 6, grew: true, runs: 7 },
      words: grewBySix,
    });
    const html = await page();
    expect(html).toContain(grewBySix);
    expect(html).not.toContain(`<p class="quiet">${grewBySix}`);
  });

  it("is no caution where it stands as when the mount was new", async () => {
    const { told, page } = await cardRead([13, 13, 14, 13, 13, 13]);
    expect(await told()).toMatchObject({ grew: false, words: asWhenNew });
    expect(await page()).toContain(`<p class="quiet">${asWhenNew}`);
  });

  it("starts anew once the cooler was put back on", async () => {
    const { send, rig, run, told, page } = await cardRead([13, 13, 13, 19, 19, 19]);
    expect((await told()).grew).toBe(true);
    const mountedAt = "2031-05-01T06:30:00.000Z";
    expect((await send("POST", `/api/builds/${rig}/mounts`, { mountedAt })).status).toBe(201);
    await run(13);
    expect(await told()).toMatchObject({ nowC: 13, grewC: null, grew: false, runs: 1 });
    expect(await page()).not.toContain("paste or contact");
  });
});
