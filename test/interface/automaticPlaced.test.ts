import { describe, expect, it } from "vitest";
import { smallWorld, type TestServer, testServer } from "../support/bench.ts";

const atBoard = (loadVoltageMv: number) => ({ loadVoltageMv, voltageReadAt: "board" });

async function benchOn(server: TestServer) {
  const world = await smallWorld(server);
  const chip = await server.send("POST", "/api/chips", {
    ...{ name: "Dunlin", kind: "cpu", tempLimitC: 95, automaticVoltage: true },
    ...{ stockClockMhz: 4000, stockVoltageMv: 1100 },
  });
  const build = await server.send("POST", "/api/builds", {
    ...{ name: "Shelf", chipId: chip.body.id, boardId: world.small },
  });
  const address = `/api/builds/${build.body.id}`;
  let minute = 0;
  const tried = async (attempt: object) => {
    minute += 30;
    const startedAt = new Date(Date.UTC(2031, 4, 3, 8, minute)).toISOString();
    const reply = await server.send("POST", `${address}/attempts`, {
      ...{ workloadId: world.heavy, outcome: "pass", durationS: 1200, startedAt },
      ...attempt,
    });
    expect(reply.status, JSON.stringify(reply.body)).toBe(201);
    return reply.body.id as string;
  };
  const asked = async (what: string) => (await server.send("GET", `${address}/${what}`)).body;
  return { tried, asked };
}

type Bench = Awaited<ReturnType<typeof benchOn>>;

async function setByHand({ tried }: Bench, read: (mv: number) => object): Promise<void> {
  await tried({ clockMhz: 4200, voltageMv: 1150, ...read(1108) });
  await tried({ clockMhz: 4250, voltageMv: 1150, ...read(1105) });
  await tried({ clockMhz: 4350, voltageMv: 1150, outcome: "freeze", durationS: 300 });
}

async function onAutomatic({ tried }: Bench): Promise<void> {
  await tried({ clockMhz: 4300, voltageMv: null, ...atBoard(1140) });
  await tried({ clockMhz: 4400, voltageMv: null, outcome: "freeze", durationS: 400, ...atBoard(1136) });
  await tried({ clockMhz: 4450, voltageMv: null, outcome: "freeze", durationS: 60 });
}

describe("attempts on automatic voltage whose load voltage was read", () => {
  it("teach the limit where the droop is known, and say how surely; the frontier stays", async () => {
    const bench = await benchOn(await testServer());
    await setByHand(bench, atBoard);
    const [alone, observed] = [await bench.asked("limit"), await bench.asked("frontier")];
    expect(alone.automatic).toBeNull();
    await onAutomatic(bench);
    const taught = await bench.asked("limit");
    expect(taught.automatic).toEqual({ attempts: 2, withinMv: expect.any(Number) });
    expect(taught.automatic.withinMv).toBeGreaterThan(5);
    expect(taught.automatic.withinMv).toBeLessThan(30);
    expect(taught.sentence).toMatch(
      / 2 attempts on automatic voltage were placed by what was read under load, to within \d+ mV nine times in ten\.$/,
    );
    const width = ({ curve: [{ lowMhz, highMhz }] }: typeof taught): number => highMhz - lowMhz;
    expect(width(taught)).toBeLessThan(width(alone));
    expect(taught.attempts).toBe(3);
    expect((await bench.asked("frontier")).points).toEqual(observed.points);
  });

  it("teach nothing where no set voltage was read, not by a digit", async () => {
    const bench = await benchOn(await testServer());
    await setByHand(bench, () => ({}));
    const alone = await bench.asked("limit");
    await onAutomatic(bench);
    expect(await bench.asked("limit")).toEqual(alone);
  });
});
