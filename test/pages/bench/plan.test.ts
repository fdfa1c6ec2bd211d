import { describe, expect, it } from "vitest";
import { plainText } from "../../support/answersSaid.ts";
import { smallWorld, testServer } from "../../support/bench.ts";
import { heldServer } from "../../support/heldFits.ts";

type Planned = Readonly<{
  clockMhz: number;
  voltageMv: number;
  durationS: number;
  expectedMinutes: number;
  chanceOfPass: number;
}>;

const planOn = (page: string): string | null => /<div class="plan">.*?<\/div>/s.exec(page)?.[0] ?? null;

describe("the plan of the time there is", () => {
  /** A build that was begun: two clocks passed, nothing failed yet. */
  async function begun() {
    const server = await testServer();
    const { cupboard, heavy } = await smallWorld(server);
    for (const clockMhz of [4400, 4500])
      await server.send("POST", `/api/builds/${cupboard}/attempts`, {
        ...{ workloadId: heavy, clockMhz, voltageMv: 1200, outcome: "pass", durationS: 900 },
        ...{ loadTempC: 62, ambientC: 22 },
      });
    const page = async (query: string): Promise<string> =>
      (await server.send("GET", `/?build=${cupboard}${query}`)).body;
    return { server, cupboard, heavy, page };
  }

  it("lists what the JSON answer plans, within the time, and says how much of it that takes", async () => {
    const { server, cupboard, heavy, page } = await begun();
    const { body } = await server.send(
      "GET",
      `/api/builds/${cupboard}/next?voltageMv=1200&minutes=90&workload=${heavy}`,
    );
    const plan = body.plan as readonly Planned[];
    expect(plan.length).toBeGreaterThan(1);
    await expect.poll(() => page("&have=90").then(planOn), { timeout: 20_000 }).not.toBeNull();
    const shown = planOn(await page("&have=90")) as string;
    const rows = [...shown.matchAll(/<li[^>]*>(.*?)<\/li>/gs)].map(([row]) => plainText(row));
    expect(rows).toHaveLength(plan.length);
    for (const [at, { clockMhz, durationS, chanceOfPass }] of plan.entries())
      expect(rows[at]).toBe(
        `${clockMhz} MHz at 1.200 V for ${durationS / 60} min, passes ${Math.round(100 * chanceOfPass)} in 100`,
      );
    const total = Math.round(plan.reduce((sum, one) => sum + one.expectedMinutes, 0));
    expect(total).toBeLessThanOrEqual(90);
    const took = total < 60 ? `${total} min` : `1 h ${total - 60} min`;
    expect(plainText(shown)).toContain(
      `1 h 30 min left. If each passes, these; about ${took} with setting up, as some may fail early:`,
    );
  });

  it("follows the time that passes, is dropped with a tap, and is none once the time is up", async () => {
    const { server, page } = await begun();
    await expect.poll(() => page("&have=90").then(planOn), { timeout: 20_000 }).not.toBeNull();
    const first = planOn(await page("&have=90")) as string;
    const until = /until=([^&"]+)/.exec(await page("&have=90"))?.[1] as string;
    server.clock.pass(3600);
    await expect.poll(() => page(`&until=${until}`).then(planOn), { timeout: 20_000 }).not.toBeNull();
    const later = planOn(await page(`&until=${until}`)) as string;
    expect(plainText(later)).toContain("30 min left.");
    expect(later.split("<li").length).toBeLessThan(first.split("<li").length);
    const dropped = /<a href="([^"]*)">Drop the plan/.exec(later)?.[1] as string;
    expect(dropped).not.toContain("until");
    server.clock.pass(1800);
    expect(planOn(await page(`&until=${until}`))).toBeNull();
  });
});

it("says what so long a time might gain, or how much longer that takes", async () => {
  const server = await testServer();
  const { cupboard, heavy } = await smallWorld(server);
  for (const [clockMhz, outcome, durationS] of [
    [4400, "pass", 1800],
    [4500, "pass", 1800],
    [4600, "freeze", 120],
  ] as const)
    await server.send("POST", `/api/builds/${cupboard}/attempts`, {
      ...{ workloadId: heavy, clockMhz, voltageMv: 1200, outcome, durationS },
      ...{ loadTempC: 62, ambientC: 22 },
    });
  const { body: best } = await server.send("GET", `/api/builds/${cupboard}/best`);
  const gain = Math.round(best.nearer.gainMhz);
  expect(gain).toBeGreaterThan(0);
  const planned = async (minutes: number): Promise<string> => {
    const { body } = await server.send("GET", `/?build=${cupboard}&have=${minutes}`);
    return plainText(planOn(body) ?? "");
  };
  await expect.poll(() => planned(600), { timeout: 20_000 }).not.toBe("");
  const { minutes } = best.nearer;
  const long = await planned(600);
  expect(long).toContain(`Then the search is over. So long might gain ${gain} MHz.`);
  expect(await planned(20)).not.toContain("the search is over");
  expect(await planned(20)).toContain(
    `It takes about ${minutes} minutes to gain perhaps ${gain} MHz; this is part of them.`,
  );
});

describe("the bench while its record is weighed", () => {
  it("waits a moment for the fit, and no longer, then shows the plain rule's step", async () => {
    const { server, hold, letGo } = await heldServer();
    const { cupboard, heavy } = await smallWorld(server);
    await server.send("POST", `/api/builds/${cupboard}/attempts`, {
      ...{ workloadId: heavy, clockMhz: 4400, voltageMv: 1200, outcome: "pass", durationS: 3600 },
    });
    hold();
    const startedAt = performance.now();
    const { body } = await server.send("GET", `/?build=${cupboard}`);
    const took = performance.now() - startedAt;
    letGo();
    expect(took).toBeGreaterThan(390);
    // On a machine with nothing else to do 0.41 s.
    expect(took).toBeLessThan(2000);
    expect(plainText(/<h1>.*?<\/h1>/s.exec(body)?.[0] ?? "")).toBe("Next: 4425 MHz at 1.200 V");
    await expect
      .poll(async () => plainText((await server.send("GET", `/?build=${cupboard}`)).body), {
        timeout: 20_000,
      })
      .toMatch(/tells most for its time|narrows it most/);
  });
});
