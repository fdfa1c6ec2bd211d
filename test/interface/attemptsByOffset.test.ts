import { describe, expect, it } from "vitest";
import { offsetOfPart } from "../../server/bench/order/partsOfRun.ts";
import type { Attempt } from "../../server/bench/things/attempt.ts";
import { seededRandom } from "../../server/numerics/seededRandom.ts";
import { type TestServer, testServer } from "../support/bench.ts";
import { cardWorld, coreWorld } from "../support/settingWorlds.ts";

const parts = ["core 0", "core 1", "core 2"];
const levels = [0, -10, -20.1];

/** Attempts of all parts, of one under test, of each by itself; some failed, and some of those told where. */
async function tried(server: TestServer, build: string, load: string): Promise<void> {
  const random = seededRandom(11);
  const oneOf = <One>(of: readonly One[]): One => of[random.index(of.length)]!;
  for (let at = 0; at < 60; at += 1) {
    const own = Object.fromEntries(
      parts.filter(() => random.uniform() < 0.5).map((name) => [name, oneOf(levels)]),
    );
    const offsets = random.uniform() < 0.5 && Object.keys(own).length > 0 ? own : null;
    const offset = offsets === null || random.uniform() < 0.5 ? oneOf(levels) : null;
    const part = random.uniform() < 0.3 ? oneOf(parts) : null;
    const failed = random.uniform() < 0.4;
    const kept = await server.send("POST", `/api/builds/${build}/attempts`, {
      ...{ workloadId: load, offset, offsets, part, durationS: 600 },
      ...(failed ? { outcome: "restart", crashPart: oneOf([...parts, null]) } : { outcome: "pass" }),
    });
    expect(kept.status, JSON.stringify(kept.body)).toBe(201);
  }
}

const listed = async (server: TestServer, build: string, query: Record<string, string | number> = {}) => {
  const asked = new URLSearchParams(Object.entries(query).map(([name, value]) => [name, String(value)]));
  const { body } = await server.send("GET", `/api/builds/${build}/attempts?limit=200&${asked}`);
  return body.items as Attempt[];
};

describe("GET /api/builds/:id/attempts?offset=&part=", () => {
  it("gives those that a part ran in or failed, where it stood at an offset", async () => {
    const server = await testServer();
    const { build, load } = await coreWorld(server);
    await tried(server, build, load);
    const all = await listed(server, build);
    expect(all).toHaveLength(60);
    for (const part of parts) {
      const speaking = all.filter((one) => [null, part].includes(one.part) || one.crashPart === part);
      expect(await listed(server, build, { part })).toEqual(speaking);
      for (const offset of levels) {
        const there = speaking.filter((one) => offsetOfPart({ ...one, class: "pass" }, part) === offset);
        expect(there.length).toBeGreaterThan(2);
        expect(await listed(server, build, { part, offset })).toEqual(there);
      }
    }
    expect(await listed(server, build, { offset: -10 })).toEqual(all.filter(({ offset }) => offset === -10));
  });

  it("refuses what is no offset, and gives nothing of a part that nobody named", async () => {
    const server = await testServer();
    const { build } = await coreWorld(server);
    const refused = await server.send("GET", `/api/builds/${build}/attempts?offset=deep`);
    expect(refused.status).toBe(400);
    expect(JSON.stringify(refused.body)).toContain("offset must be a number.");
    expect((await server.send("GET", `/api/builds/${build}/attempts?part=none`)).body.items).toEqual([]);
  });
});

describe("the table of offsets of a build", () => {
  it("leads from what held and what failed on a part to the attempts behind it", async () => {
    const server = await testServer();
    const { build, load } = await coreWorld(server);
    const run = (offset: number, more: object) =>
      server.send("POST", `/api/builds/${build}/attempts`, {
        ...{ workloadId: load, part: "core 1", offset, durationS: 3600 },
        ...more,
      });
    await run(-20, { outcome: "pass" });
    await run(-35, { outcome: "restart", durationS: 300 });
    const { body } = await server.send("GET", `/builds/${build}`);
    for (const [what, heading] of [
      ["−20 held on core 1", `1 attempt of core 1 at −20 mV on Dunlin on Quay L`],
      ["−35 crashed on core 1", `1 attempt of core 1 at −35 mV on Dunlin on Quay L`],
    ] as const) {
      const href = new RegExp(`href="([^"]*)"[^>]*aria-label="${what}: the attempts"`).exec(body)?.[1];
      expect(href, what).toBeDefined();
      const page = await server.send("GET", href!.replaceAll("&amp;", "&"));
      expect(page.body).toContain(heading);
      expect(page.body, "there is one").not.toContain("Correct several");
    }
    expect(body).not.toContain("Contested");
    await run(-15, { outcome: "restart", durationS: 300 });
    expect((await server.send("GET", `/builds/${build}`)).body).toContain("Contested");
    const all = await server.send("GET", `/builds/${build}/attempts`);
    expect(all.body).toContain("Correct several of them at once");
  });

  it("says the offset alone where a chip is set as a whole", async () => {
    const server = await testServer();
    const { rig, load } = await cardWorld(server);
    await server.send("POST", `/api/builds/${rig}/attempts`, {
      ...{ workloadId: load, offset: 90, outcome: "pass", durationS: 3600 },
    });
    const { body } = await server.send("GET", `/builds/${rig}`);
    const href = /href="([^"]*)"[^>]*aria-label="\+90 held: the attempts"/.exec(body)?.[1] ?? "";
    expect((await server.send("GET", href.replaceAll("&amp;", "&"))).body).toContain(
      "1 attempt at +90 MHz on Long rig",
    );
  });
});
