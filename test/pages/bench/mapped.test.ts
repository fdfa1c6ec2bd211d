import { describe, expect, it } from "vitest";
import { plainText } from "../../support/answersSaid.ts";
import { smallWorld, type TestServer, testServer } from "../../support/bench.ts";

const textOf = (html: string): string => plainText(/<main.*<\/main>/s.exec(html)?.[0] ?? html);

const stripOf = (html: string): string => /<figure class="rungs">.*?<\/figure>/s.exec(html)?.[0] ?? "";

/** A build with attempts at 1.150 and 1.200 V, the search over at the second. */
async function mappedBuild(server: TestServer) {
  const world = await smallWorld(server);
  const ran = (clockMhz: number, voltageMv: number, outcome: string, durationS: number) =>
    server.send("POST", `/api/builds/${world.cupboard}/attempts`, {
      ...{ workloadId: world.heavy, clockMhz, voltageMv, outcome, durationS },
      ...{ loadTempC: 65, ambientC: 22 },
    });
  for (const clockMhz of [4550, 4600, 4625, 4625]) await ran(clockMhz, 1200, "pass", 3600);
  await ran(4650, 1200, "freeze", 500);
  await ran(4675, 1200, "freeze", 40);
  await ran(4300, 1150, "pass", 900);
  await server.send("GET", `/api/builds/${world.cupboard}/best`);
  return { ...world, ran };
}

/** The page once its proposal is the fit's: under load it may come before. */
async function weighed(server: TestServer, address: string): Promise<string> {
  for (let time = 0; time < 60; time++) {
    const { body } = await server.send("GET", address);
    if (!String(body).includes("data-later")) return body;
  }
  throw new Error("The fit never came.");
}

describe("a map on the bench", () => {
  it("takes voltages as they are typed, proposes one of them, and keeps them over an attempt", async () => {
    const server = await testServer();
    const { cupboard } = await mappedBuild(server);
    const body = await weighed(server, `/?build=${cupboard}&aim=map&voltages=1.1%2C+1150+1.2`);
    const words = textOf(body);
    expect(words).toContain("Looking for the limit over the voltages tried.");
    expect(words).toMatch(/Next: \d+ MHz at 1\.(100|150|200) V/);
    expect(body).toContain('name="voltages" value="1100,1150,1200"');
  });

  it("refuses a row that may be read in two ways beside the field, as typed, and changes nothing", async () => {
    const server = await testServer();
    const { cupboard, chip } = await mappedBuild(server);
    await server.send("PATCH", `/api/chips/${chip}`, { voltageCeilingMv: null });
    const page = await server.send("GET", `/?build=${cupboard}&aim=map&voltages=1%2C2`);
    expect(page.status).toBe(422);
    expect(page.body).toContain('value="1,2"');
    expect(textOf(page.body)).toContain("“1,2” may mean 1.2 V, or 1 V and 2 V. Write 1.2, or 1; 2.");
    expect(textOf(page.body)).not.toContain("Looking for the limit over");
    expect(/<details class="fold" open[^>]*data-fold="propose"/.test(page.body)).toBe(true);
  });

  it("understands a decimal comma where the chip's ceiling leaves no other reading", async () => {
    const server = await testServer();
    const { cupboard } = await mappedBuild(server);
    const page = await server.send("GET", `/?build=${cupboard}&aim=map&voltages=1%2C2`);
    expect(page.status).toBe(200);
    expect(page.body).toContain('name="voltages" value="1200"');
  });

  it("shows a strip: what is done struck off, what is open as a box, and named voltages still to try", async () => {
    const server = await testServer();
    const { cupboard } = await mappedBuild(server);
    const { atVoltages, setting } = (await server.send("GET", `/api/builds/${cupboard}/best`)).body;
    const { body } = await server.send("GET", `/?build=${cupboard}&aim=map&voltages=1.1,1.15,1.2`);
    const strip = stripOf(body);
    const told = /aria-label="([^"]*)"/.exec(strip)?.[1] ?? "";
    expect(told).toContain("1.100 V to try");
    expect(told).toContain(`1.200 V ${setting.clockMhz} MHz, run this`);
    const low = atVoltages.find(({ voltageMv }: { voltageMv: number }) => voltageMv === 1150);
    expect(told).toContain(`1.150 V 4300 MHz, ${low.done ? "done" : "open"}`);
    expect(strip.match(/text-decoration="line-through"/g) ?? []).toHaveLength(
      atVoltages.filter(({ done }: { done: boolean }) => done).length,
    );
    expect(/<rect class="open"/.test(strip)).toBe(!low.done && low.highMhz > low.lowMhz);
    const done = atVoltages.filter((one: { done: boolean }) => one.done).length;
    expect(textOf(body)).toContain(`${done} of 3 voltages`);
  });

  it("stays under the ceiling of the chip, and says so", async () => {
    const server = await testServer();
    const { cupboard } = await mappedBuild(server);
    const body = await weighed(server, `/?build=${cupboard}&aim=map&voltages=1.2,1.45`);
    const next = /Next: \d+ MHz at ([\d.]+) V/.exec(textOf(body))?.[1];
    expect(Number(next)).toBeLessThanOrEqual(1.35);
    expect(textOf(body)).toContain("1.450 V is above 1.350 V, as far as the chip's entry goes");
  });
});
