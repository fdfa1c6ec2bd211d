import { describe, expect, it } from "vitest";
import type { Plot } from "../../../server/html/plot.ts";
import { linesOfRuns, looksApart } from "../../../server/pages/kit/buildLooks.ts";
import { smallWorld, testServer } from "../../support/bench.ts";

const chartsIn = (page: string): Plot[] =>
  [...page.matchAll(/<script type="application\/json" data-charts[^>]*>(.*?)<\/script>/gs)].flatMap((block) =>
    Object.values(JSON.parse(block[1] ?? "{}") as Record<string, Plot>),
  );

/** The hue of the steps that bear this name, in every chart of a page. */
const huesOf = (page: string, name: string): string[] =>
  chartsIn(page).flatMap(({ layers = [] }) =>
    layers.flatMap((layer) => (layer.as === "steps" && layer.label === name ? [layer.tone] : [])),
  );

describe("the hue of a build", () => {
  it("is the same on every page, whichever build it stands beside", async () => {
    const server = await testServer();
    const { cupboard, frame, heavy } = await smallWorld(server);
    for (const build of [cupboard, frame])
      for (const voltageMv of [1150, 1200])
        await server.send("POST", `/api/builds/${build}/attempts`, {
          ...{
            workloadId: heavy,
            clockMhz: 4000 + voltageMv / 2,
            voltageMv,
            outcome: "pass",
            durationS: 900,
          },
        });
    const page = async (address: string) => (await server.send("GET", address)).body as string;
    const there = await page(`/compare?a=${cupboard}&b=${frame}`);
    const back = await page(`/compare?a=${frame}&b=${cupboard}`);
    const all = await page("/builds");
    const own = huesOf(await page(`/builds/${cupboard}`), "held");
    const other = huesOf(await page(`/builds/${frame}`), "held");
    expect(own).toHaveLength(1);
    expect(other).not.toEqual(own);
    for (const shown of [there, back, all]) {
      expect(huesOf(shown, "Cupboard")).toEqual(own);
      expect(huesOf(shown, "Open frame")).toEqual(other);
    }
  });

  const builds = Array.from({ length: 7 }, (_, i) => ({
    ...{ id: `b${i}`, chipId: i < 6 ? "one" : "other", createdAt: `2031-05-0${i + 1}` },
  }));

  it("gives way to a free one where two in one chart have the same", () => {
    const [first, sixth, elsewhere] = looksApart(builds, ["b0", "b5", "b6"]);
    expect(first?.tone).toBe("lead");
    expect(new Set([first, sixth, elsewhere]).size).toBe(3);
    expect(looksApart(builds, ["b1", "b5"])[0]).toEqual(looksApart(builds, ["b1"])[0]);
  });

  it("holds for every run of the build: the second dashed, a third in a hue that no other build has", () => {
    const lines = linesOfRuns(builds, ["b1", "b2", "b1", "b1"]);
    expect(lines.map(({ tone }) => tone).slice(0, 3)).toEqual(["second", "third", "second"]);
    expect(lines.map(({ dashed }) => dashed)).toEqual([false, false, true, false]);
    expect(["second", "third"]).not.toContain(lines[3]?.tone);
  });
});
