import { describe, expect, it } from "vitest";
import { smallWorld, type TestServer, testServer } from "../../support/bench.ts";

/** Readings that follow 20 nF of switched capacitance on 15 W exactly, at the voltage that arrived, on 0.5 mΩ. */
async function powered(server: TestServer) {
  const world = await smallWorld(server);
  for (const [n, [clockMhz, voltageMv]] of (
    [
      [4300, 1100],
      [4400, 1150],
      [4500, 1200],
      [4600, 1250],
    ] as const
  ).entries()) {
    // The droop that 0.5 mΩ makes at the current that this power draws, found by going round.
    let loadVoltageMv: number = voltageMv;
    let powerW = 0;
    for (let round = 0; round < 50; round++) {
      powerW = 15 + 20e-9 * (loadVoltageMv / 1000) ** 2 * clockMhz * 1e6;
      loadVoltageMv = voltageMv - (0.5 * powerW * 1000) / loadVoltageMv;
    }
    await server.send("POST", `/api/builds/${world.cupboard}/attempts`, {
      workloadId: world.heavy,
      clockMhz,
      voltageMv,
      outcome: "pass",
      durationS: 900,
      loadTempC: 60 + 5 * n,
      powerW,
      powerAt: "chip",
      loadVoltageMv,
      currentA: (powerW * 1000) / loadVoltageMv,
      loadLine: "level 2",
      score: n === 3 ? 90 : 100 + n,
      correctedErrors: n === 3 ? 4 : 0,
      startedAt: `2031-05-01T1${n}:00:00Z`,
    });
  }
  const page = async (query = "") =>
    (await server.send("GET", `/builds/${world.cupboard}/power${query}`)).body as string;
  return { ...world, page };
}

describe("GET /builds/:id/power", () => {
  it("finds the switched capacitance, the static part and the load-line that made the readings", async () => {
    const server = await testServer();
    const { cupboard, page } = await powered(server);
    const { body } = await server.send("GET", `/api/builds/${cupboard}/power`);
    expect(body.fit.switchedCapacitanceNf.value).toBeCloseTo(20, 3);
    expect(body.fit.staticW.value).toBeCloseTo(15, 2);
    expect(body.loadLines[0].milliohm.value).toBeCloseTo(0.5, 3);
    expect(body.lastStepByFitW).toBeCloseTo(body.lastStep.extraW, 3);
    const html = await page();
    expect(html.match(/<h1/g)).toHaveLength(1);
    expect(html).toMatch(/<h1>Cupboard: the last step, 4500 to 4600 MHz, costs about \d+ W for/);
    expect(html).toContain("mΩ");
  });

  it("says what each supply phase carries against the board's rating", async () => {
    const server = await testServer();
    const { page, small } = await powered(server);
    // 150 W over 1.18 V and six phases are about 19 of 50 A.
    expect(await page()).toMatch(/About \d+ of 50 A a phase/);
    await server.send("PATCH", `/api/boards/${small}`, { phaseRatingA: 22 });
    expect(await page()).toMatch(
      /class="note caution"[^>]*>Near the board&#39;s rating|Near the board's rating/,
    );
    await server.send("PATCH", `/api/boards/${small}`, { corePhases: null });
    expect(await page()).toContain("how many core supply phases");
  });

  it("flags a higher clock that scores lower, with what to check", async () => {
    const server = await testServer();
    const { page } = await powered(server);
    const html = await page();
    expect(html).toMatch(/4600 MHz scored worse than 4500 MHz, from single runs/);
    expect(html).toContain("errors were corrected during the run");
  });

  it("keeps relative wear folded until it is asked for, then says a range with its caution", async () => {
    const server = await testServer();
    const { page } = await powered(server);
    const before = await page();
    expect(before).not.toContain("No chip was measured for this");
    const query = "?wear=asked&fromMv=1.1&fromC=60&toMv=1.25&toC=85";
    const html = await page(query);
    expect(html).toMatch(/<details class="fold" open/);
    expect(html).toMatch(/The second setting: wears [\d.]+ to \d+ times as fast/);
    expect(html.match(/No chip was measured for this/g)).toHaveLength(1);
    expect(await page("?wear=asked&fromMv=hot&fromC=60&toMv=1.25&toC=85")).toContain(
      'id="field-fromMv-error"',
    );
  });

  it("says what to note where no power was read", async () => {
    const server = await testServer();
    const { frame } = await smallWorld(server);
    const { body } = await server.send("GET", `/builds/${frame}/power`);
    expect(body).toContain("What Open frame draws is not known yet");
    expect(body).toContain("Note the power of a run");
    expect((await server.send("GET", "/builds/nonsense/power")).status).toBe(404);
  });
});
