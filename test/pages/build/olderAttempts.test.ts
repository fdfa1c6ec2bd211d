import { describe, expect, it } from "vitest";
import { testServer } from "../../support/bench.ts";
import { cardWorld } from "../../support/settingWorlds.ts";

const heads = (html: string): number => html.match(/<th\b/g)?.length ?? 0;
const cellsOfEach = (html: string): readonly number[] =>
  html
    .split("<tr")
    .slice(1)
    .map((row) => row.match(/<t[dh]\b/g)?.length ?? 0);

describe("GET /builds/:id/attempts", () => {
  it("heads a column for what only older attempts had, so that their rows fit when they join", async () => {
    const server = await testServer();
    const { rig: build, load } = await cardWorld(server);
    const tried = (offset: number, more: object = {}) =>
      server.send("POST", `/api/builds/${build}/attempts`, {
        ...{ workloadId: load, offset, outcome: "pass", durationS: 600 },
        ...more,
      });
    await tried(15, { knobs: { "memory-offset": 100 }, clockMhz: 2700, voltageMv: 1000 });
    for (let at = 0; at < 45; at += 1) await tried(30);
    const { body } = await server.send("GET", `/builds/${build}/attempts`);
    const href = /href="([^"]*after=[^"]*)"/.exec(body)?.[1]?.replaceAll("&amp;", "&") ?? "";
    const older = await server.send("GET", href, undefined, { "hx-request": "true" });
    const columns = heads(/<thead.*?<\/thead>/s.exec(body)?.[0] ?? "");
    expect(columns).toBeGreaterThan(6);
    const rows = cellsOfEach(older.body).filter((cells) => cells > 1);
    expect(rows).toHaveLength(6);
    expect(new Set(rows)).toEqual(new Set([columns]));
  });
});
