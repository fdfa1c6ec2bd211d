import { describe, expect, it } from "vitest";
import { type TestServer, testServer } from "../support/bench.ts";
import { cardWorld, memoryWorld } from "../support/settingWorlds.ts";

const plain = (html: string): string => html.replace(/<[^>]+>/g, " ").replace(/\s+/g, " ");

async function log({ send }: TestServer, buildId: string, attempts: readonly object[]): Promise<void> {
  let minute = 0;
  for (const attempt of attempts) {
    minute += 30;
    const startedAt = new Date(Date.UTC(2031, 4, 3, 8, minute)).toISOString();
    const reply = await send("POST", `/api/builds/${buildId}/attempts`, { startedAt, ...attempt });
    expect(reply.status, JSON.stringify(reply.body)).toBe(201);
  }
}

/** What the page swaps in once it is worked out; the page itself where all is known already. */
async function pageOf({ send }: TestServer, buildId: string, piece: string): Promise<string> {
  for (let i = 0; i < 100; i++) {
    const { status, body } = await send("GET", `/builds/${buildId}${piece}`);
    if (status === 200 && String(body).includes("would buy")) return plain(String(body));
    await new Promise((resolve) => setTimeout(resolve, 50));
  }
  throw new Error("it never came");
}

describe("what one step of a knob would buy", () => {
  it("stands in the limit of a set of memory and on its page", async () => {
    const server = await testServer();
    const { build, load } = await memoryWorld(server);
    const at = (clockMhz: number, cl: number, outcome: string) => ({
      ...{ workloadId: load, clockMhz, voltageMv: 1350, knobs: { cl }, outcome },
      durationS: outcome === "pass" ? 1800 : 240,
    });
    await log(server, build, [
      ...[at(6000, 40, "pass"), at(6200, 40, "pass"), at(6400, 40, "wrong-result")],
      ...[at(5600, 30, "pass"), at(6000, 30, "wrong-result"), at(6000, 30, "wrong-result")],
    ]);
    const { body } = await server.send("GET", `/api/builds/${build}/limit`);
    expect(body.state).toBe("fitted");
    expect(body.knobs).toMatchObject([{ knobId: "cl", from: 30, to: 31, attempts: 3 }]);
    expect(body.knobs[0].low).toBeLessThanOrEqual(body.knobs[0].gainMhz);
    expect(body.knobs[0].gainMhz).toBeLessThanOrEqual(body.knobs[0].high);
    expect(body.sentence).toContain("with other knobs told how far those reach");
    const words = await pageOf(server, build, "/limit");
    expect(words).toMatch(/What one step would buy CL, from 30 to 31, buys \d.* MT\/s/);
  });

  it("stands in the answer of a card that is set by offset, in the offset's unit", async () => {
    const server = await testServer();
    const { rig, load } = await cardWorld(server);
    const at = (offset: number, memory: number, outcome: string) => ({
      ...{ workloadId: load, offset, knobs: { "memory-offset": memory }, outcome },
      durationS: outcome === "pass" ? 1800 : 240,
    });
    await log(server, rig, [
      ...[at(150, 0, "pass"), at(165, 0, "pass"), at(195, 0, "artefacts"), at(180, 0, "pass")],
      ...[at(90, 800, "pass"), at(120, 800, "artefacts"), at(105, 800, "pass"), at(135, 800, "artefacts")],
    ]);
    const { body } = await server.send("GET", `/api/builds/${rig}/best`);
    const [part] = body.byOffset.parts;
    expect(part.knobs).toMatchObject([{ knobId: "memory-offset", from: 800, to: 750, attempts: 4 }]);
    expect(part.knobs[0].high).toBeGreaterThan(0);
    const words = await pageOf(server, rig, "");
    expect(words).toMatch(/Memory offset, from 800 to 750 MHz, buys [\d.]+ MHz/);
  });
});
