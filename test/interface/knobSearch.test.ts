import { describe, expect, it } from "vitest";
import { testServer } from "../support/bench.ts";
import { cardWorld, memoryWorld } from "../support/settingWorlds.ts";

async function memoryTried() {
  const server = await testServer();
  const world = await memoryWorld(server);
  let minute = 0;
  const tried = async (cl: number, outcome: string, more: object = {}) => {
    minute += 40;
    const reply = await server.send("POST", `/api/builds/${world.build}/attempts`, {
      ...{ workloadId: world.load, clockMhz: 6000, voltageMv: 1350, knobs: { cl, trcd: 38 }, outcome },
      durationS: outcome === "pass" ? 1800 : 240,
      startedAt: new Date(Date.UTC(2031, 4, 3, 8, minute)).toISOString(),
      ...more,
    });
    expect(reply.status, JSON.stringify(reply.body)).toBe(201);
  };
  const ask = async (address: string) => server.send("GET", `/api/builds/${world.build}/${address}`);
  return { server, ...world, tried, ask };
}

describe("looking along one knob", () => {
  it("proposes its next value with all else as it was last, and tells what holds so far", async () => {
    const { tried, ask, load } = await memoryTried();
    for (const cl of [40, 36, 34, 34]) await tried(cl, "pass");
    await tried(28, "wrong-result");
    await tried(32, "pass");
    const { status, body } = await ask("next?knob=cl");
    expect(status).toBe(200);
    expect(body).toMatchObject({
      ...{ knobId: "cl", name: "CL", unit: "", workloadId: load, reckoning: false },
      allElse: { clockMhz: 6000, voltageMv: 1350, knobs: { cl: 32, trcd: 38 } },
    });
    const told = body.settled?.level ?? body.level;
    expect(told).toBeGreaterThan(28);
    expect(told).toBeLessThan(41);
    const best = await ask("best?knob=cl");
    expect(best.body).toMatchObject({ knobId: "cl", isAim: false, allElse: { clockMhz: 6000 } });
    expect(best.body.setting?.level ?? 40).toBeGreaterThan(28);
    expect(best.body.knobs).toBeDefined();
  });

  it("answers at once what is known, where nobody wants to wait", async () => {
    const { tried, ask } = await memoryTried();
    await tried(40, "pass");
    const { status, body } = await ask("next?knob=cl&wait=0");
    expect(status).toBe(200);
    expect(body).toMatchObject({ state: "too-little", knobId: "cl", reckoning: true });
  });

  it("goes along a knob of a card that is set by offset", async () => {
    const server = await testServer();
    const { rig, load } = await cardWorld(server);
    let minute = 0;
    for (const memory of [0, 200, 400]) {
      minute += 40;
      await server.send("POST", `/api/builds/${rig}/attempts`, {
        ...{ workloadId: load, offset: 120, knobs: { "memory-offset": memory }, outcome: "pass" },
        ...{ durationS: 1800, startedAt: new Date(Date.UTC(2031, 4, 3, 8, minute)).toISOString() },
      });
    }
    const { body } = await server.send("GET", `/api/builds/${rig}/next?knob=memory-offset`);
    expect(body.allElse).toMatchObject({ offset: 120, clockMhz: null });
    expect(body.level).toBeGreaterThan(400);
    expect(body.level % 50).toBe(0);
  });

  it("refuses a knob that the chip has not, and one without a step and a direction, and says which there are", async () => {
    const { tried, ask } = await memoryTried();
    await tried(40, "pass");
    for (const address of ["next?knob=fabric", "best?knob=fabric"]) {
      const { status, body } = await ask(address);
      expect(status).toBe(400);
      expect(body.error.fields.knob).toBe("The chip has no knob of that id. One of: cl, trcd, trp, tras.");
    }
    const { status, body } = await ask("next?knob=controller");
    expect(status).toBe(400);
    expect(body.error.message).toContain("Controller voltage has no step and one direction");
  });
});
