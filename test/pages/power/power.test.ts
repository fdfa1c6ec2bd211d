import { describe, expect, it } from "vitest";
import { smallWorld, type TestServer, testServer } from "../../support/bench.ts";
import { cardWorld, coreWorld } from "../../support/settingWorlds.ts";

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
  it("takes off what the supply loses where its efficiency is stated, and refuses what is none", async () => {
    const server = await testServer();
    const { cupboard, page } = await powered(server);
    const runs = (await server.send("GET", `/api/builds/${cupboard}/attempts`)).body.items;
    for (const { id } of runs) await server.send("PATCH", `/api/attempts/${id}`, { powerAt: "wall" });
    expect(await page()).toContain("kept as read");
    expect(await page("?supply=90")).toContain("times 0.9 for the supply as stated");
    const said = await server.send("PATCH", `/api/builds/${cupboard}`, { supplyEfficiencyPct: 88 });
    expect([said.status, said.body.supplyEfficiencyPct]).toEqual([200, 88]);
    const stated = await page();
    expect(stated).toContain("times 0.88 for the supply as stated");
    expect(stated).toContain("Left blank: 88 %, as written with the build.");
    expect(await page("?supply=90")).toContain("times 0.9 for the supply as stated");
    const answered = (await server.send("GET", `/api/builds/${cupboard}/power`)).body;
    expect(answered.wall.supplyEfficiency).toBe(0.88);
    const none = await server.send("PATCH", `/api/builds/${cupboard}`, { supplyEfficiencyPct: 20 });
    expect([none.status, none.body.error.fields.supplyEfficiencyPct]).toEqual([
      400,
      expect.stringContaining("50"),
    ]);
    const refused = await page("?supply=20");
    expect(refused).toContain("An efficiency from 50 to 100 %.");
    expect(refused).toContain('value="20"');
    const { status } = await server.send("GET", `/api/builds/${cupboard}/power?supplyEfficiency=0.2`);
    expect(status).toBe(400);
    const { body } = await server.send("GET", `/api/builds/${cupboard}/power?supplyEfficiency=0.9`);
    expect(body.wall.supplyEfficiency).toBe(0.9);
    expect(body.fit).toMatchObject({ staticW: null, switchedCapacitanceNf: null });
  });

  it("finds the load-line that made the readings, what the last step costs, and that leakage is not told", async () => {
    const server = await testServer();
    const { cupboard, page } = await powered(server);
    const { body } = await server.send("GET", `/api/builds/${cupboard}/power`);
    // Four readings along one line tell what power does there, and not what of it leaks.
    expect(body.fit).toMatchObject({ switchedCapacitanceNf: null, staticW: null });
    expect(body.fit.unseparated).toContain("do not separate");
    expect(body.loadLines[0].milliohm.value).toBeCloseTo(0.5, 3);
    // Leakage grows, which these readings have none of: the fit's step is near theirs, not theirs.
    expect(Math.abs(body.lastStepByFit.value - body.lastStep.extraW)).toBeLessThan(3);
    expect(body.lastStepByFit.high).toBeGreaterThan(body.lastStepByFit.low);
    expect(body.lastStep.extraWEnds[0]).toBeLessThan(body.lastStep.extraW);
    const html = await page();
    expect(html.match(/<h1/g)).toHaveLength(1);
    expect(html).toMatch(
      /<h1>Cupboard: the last step, 4500 to 4600 MHz, costs about [\d.]+ W \([\d.]+ to [\d.]+\) for/,
    );
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

describe("GET /builds/:id/power of a card that is set by offset", () => {
  async function tuned(server: TestServer) {
    const world = await cardWorld(server);
    const runs = [
      { offset: 0, powerW: 219, score: 30, clockMhz: 2487, voltageMv: 1049, loadTempC: 62 },
      { offset: 120, powerW: 230.4, score: 31.5, clockMhz: 2606, voltageMv: 1046 },
      { offset: 120, powerW: 231.6, score: 31.5, clockMhz: 2608, voltageMv: 1045, loadTempC: 66 },
      { offset: 105, powerW: 249, knobs: { "power-limit": 110 } },
      { offset: 150, powerW: 232, outcome: "driver-reset", durationS: 200 },
    ];
    for (const [n, run] of runs.entries()) {
      const { status, body } = await server.send("POST", `/api/builds/${world.rig}/attempts`, {
        ...{ workloadId: world.load, outcome: "pass", durationS: 900, powerAt: "chip" },
        ...{ startedAt: new Date(Date.UTC(2031, 4, 1, n)).toISOString(), ...run },
      });
      expect(status, JSON.stringify(body)).toBe(201);
    }
    const page = async (query = "") =>
      ((await server.send("GET", `/builds/${world.rig}/power${query}`)).body as string).replaceAll(
        "\u00a0",
        " ",
      );
    return { ...world, page };
  }

  it("tells what each offset draws and gives, on the page and to scripts", async () => {
    const server = await testServer();
    const { rig, load, page } = await tuned(server);
    const { status, body } = await server.send("GET", `/api/builds/${rig}/power`);
    expect(status).toBe(200);
    expect(body).toMatchObject({ workloadId: load, powerAt: "chip", points: [], droops: [], score: null });
    expect(body.byOffset.map(({ words, runs }: { words: string; runs: number }) => [words, runs])).toEqual([
      ["0 MHz", 1],
      ["+105 MHz with power limit 110 %", 1],
      ["+120 MHz", 2],
    ]);
    expect(body.byOffset[2]).toMatchObject({ powerW: 231, clockMhz: 2607, score: 31.5 });
    const html = await page();
    expect(html).toContain("<h1>Long rig draws 231 W at +120 MHz under Deconvolve</h1>");
    expect(html).toContain("12 W more than at 0 MHz, for 5.0 % more score. From 4 readings at the chip.");
    expect(html).not.toContain("No power was read");
    expect(html).not.toContain("Note the power of a run");
    const row = html.slice(html.indexOf("+120 MHz</a>"), html.indexOf("+105 MHz</a>"));
    expect(row).toMatch(/231[\s\S]*22\d to 23\d[\s\S]*2607[\s\S]*31\.5[\s\S]*0\.136/);
    const limited = html.slice(html.indexOf("+105 MHz</a>"), html.indexOf(">0 MHz</a>"));
    expect(limited).toContain("power limit 110 %");
    expect(limited).toContain("1 reading");
    expect(html).toMatch(/name="fromMv"[^>]*value="1\.045"|value="1\.045"[^>]*name="fromMv"/);
  });

  it("says that nobody said where power was read, on a chip set either way, and where some did", async () => {
    const server = await testServer();
    const ofBuild = async (build: string, page: () => Promise<string>) => {
      const { items } = (await server.send("GET", `/api/builds/${build}/attempts`)).body;
      for (const { id } of items) await server.send("PATCH", `/api/attempts/${id}`, { powerAt: null });
      const [none, told] = [await page(), (await server.send("GET", `/api/builds/${build}/power`)).body];
      const read = items.find(
        (run: { powerW: number | null; outcome: string }) => run.powerW && run.outcome === "pass",
      );
      await server.send("PATCH", `/api/attempts/${read.id}`, { powerAt: "chip" });
      const some = await page();
      expect([told.powerAt, told.powerAtSaid]).toEqual(["chip", "none"]);
      expect(none).not.toContain("readings at the chip");
      expect(none).toMatch(/\d readings, not said where and taken to be at the chip, under/);
      expect(some).toMatch(/\d readings at the chip, or not said where, under/);
      return none;
    };
    const { rig, page } = await tuned(server);
    expect(await ofBuild(rig, page)).toContain(
      "From 4 readings, not said where and taken to be at the chip. The ends",
    );
    const clocked = await powered(server);
    expect(await ofBuild(clocked.cupboard, clocked.page)).toMatch(
      /\d readings, not said where and taken to be at the chip, about/,
    );
  });

  it("offers the supply's loss to be taken off readings at the wall, and says where none was read", async () => {
    const server = await testServer();
    const { rig, page } = await tuned(server);
    const { items } = (await server.send("GET", `/api/builds/${rig}/attempts`)).body;
    for (const { id } of items) await server.send("PATCH", `/api/attempts/${id}`, { powerAt: "wall" });
    expect(await page()).toContain("Take off what the supply loses");
    expect(await page("?supply=90")).toContain("draws 208 W at +120 MHz");
    for (const { id } of items) await server.send("PATCH", `/api/attempts/${id}`, { powerW: null });
    const html = await page();
    expect(html).toContain("What Long rig draws is not known yet");
    expect(html).toContain("Note the power of a run");
    expect(html).toMatch(/data-head="Power"[^>]*>–[\s\S]*31\.5/);
  });

  it("of a chip tuned part by part, tells the part or the span of all", async () => {
    const server = await testServer();
    const { build, load } = await coreWorld(server);
    const list = { "core 0": -45, "core 1": -25, "core 2": -30 };
    for (const [n, run] of [
      { offsets: list, powerW: 81 },
      { offsets: { ...list, "core 0": -30 }, powerW: 84 },
    ].entries())
      await server.send("POST", `/api/builds/${build}/attempts`, {
        ...{ workloadId: load, outcome: "pass", durationS: 900, powerAt: "chip", ...run },
        startedAt: new Date(Date.UTC(2031, 4, 1, n)).toISOString(),
      });
    const html = ((await server.send("GET", `/builds/${build}/power`)).body as string).replaceAll(
      "\u00a0",
      " ",
    );
    expect(html).toContain("Dunlin on Quay L draws 81 W at −45 to −25 mV on 3 parts under Stacking");
    expect(html).not.toMatch(/per watt|Clock read/);
    expect(html).toContain("3 W less than at −30 to −25 mV on 3 parts. From 2 readings at the chip.");
    expect(html).toContain("No offset was read twice: how far readings scatter is not known.");
  });
});
