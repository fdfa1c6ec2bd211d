import { describe, expect, it } from "vitest";
import { smallWorld, type TestServer, testServer } from "../../support/bench.ts";

const chipOf = async (server: TestServer, more: object): Promise<string> => {
  const { body } = await server.send("POST", "/api/chips", { tempLimitC: 95, ...more });
  return body.id as string;
};

async function pairOn(server: TestServer, chipId: string) {
  const { small, heavy } = await smallWorld(server);
  const made = async (name: string): Promise<string> =>
    (await server.send("POST", "/api/builds", { name, chipId, boardId: small })).body.id as string;
  const [a, b] = [await made("Shelf"), await made("Duct")];
  let day = 0;
  const ran = async (build: string, more: object): Promise<void> => {
    day += 1;
    const startedAt = new Date(Date.UTC(2031, 3, day)).toISOString();
    const sent = { workloadId: heavy, outcome: "pass", durationS: 900, startedAt, ...more };
    const kept = await server.send("POST", `/api/builds/${build}/attempts`, sent);
    expect(kept.status, JSON.stringify(kept.body)).toBe(201);
  };
  const page = async (address: string) =>
    ((await server.send("GET", address)).body as string).replaceAll("\u00a0", " ");
  return { a, b, ran, page, heavy };
}

describe("two builds of a chip that is set by offset", () => {
  it("are compared in the offset's unit, part by part, on page, interface and in the account", async () => {
    const server = await testServer();
    const chip = await chipOf(server, {
      ...{ name: "Dunlin", kind: "cpu", stockClockMhz: 4850, stockVoltageMv: 1250, axis: "offset" },
      offset: { name: "Undervolt", unit: "mV", step: 10, harder: "down" },
      parts: [{ name: "core 1" }, { name: "core 2" }],
      limits: { "hottest core": 90 },
      knobs: [
        {
          id: "limit",
          name: "power limit",
          unit: "W",
          step: 5,
          harder: "up",
          belongs: "context",
          usual: 120,
        },
      ],
    });
    const { a, b, ran, page } = await pairOn(server, chip);
    const list = (first: number, second: number) => ({ "core 1": first, "core 2": second });
    for (const [build, first] of [
      [a, -40],
      [b, -70],
    ] as const) {
      for (const offset of [first + 20, first])
        await ran(build, { offsets: list(offset, 0), part: "core 1" });
      await ran(build, { offsets: list(first - 20, 0), part: "core 1", outcome: "freeze", durationS: 120 });
      await ran(build, {
        ...{ offsets: list(0, -30), part: "core 2" },
        ...{ knobs: { limit: 105 }, temps: { "hottest core": 81.6, package: 74 } },
      });
    }
    const { body } = await server.send("GET", `/api/compare?a=${a}&b=${b}`);
    expect(body.offsets).toMatchObject({
      axis: { name: "Undervolt", unit: "mV", harder: "down" },
      parts: 1,
      rows: [
        { part: "core 1", a: -40, b: -70, difference: -30, bracket: { low: -50, high: -10 } },
        { part: "core 2", a: -30, b: -30, difference: 0, limitsApart: null, bracket: null },
      ],
    });
    expect(body.offsets.difference).toBeLessThan(0);
    expect(body.offsets.low).toBeLessThan(body.offsets.high);
    const html = await page(`/compare?a=${a}&b=${b}`);
    expect(html).toContain("Part by part");
    expect(html).toContain("Undervolt part by part, Duct less Shelf; harder is less");
    expect(html).toMatch(/mV held/);
    expect(html).not.toContain("No voltage was tried on both");
    expect(html).not.toMatch(/\d MHz/);
    const account = await page(`/write-up?builds=${a},${b}`);
    expect(account).toContain("Undervolt held part by part; Duct less Shelf.");
    expect(account).toMatch(/−40[\s\S]*−70[\s\S]*−30/);
    expect(account).toContain(
      "Shelf: the hardest undervolt that held on each part, and what crashed beyond it. Found one at a time, not proved together.",
    );
    expect(account).toContain("power limit: 120 W in 3 attempts and 105 W in 1 attempt.");
    expect(account).toContain("Read at the hottest core: 82 °C at most in 1 attempt, its own limit 90 °C.");
    expect(account).toContain("Read at the package: 74 °C at most in 1 attempt, no limit of its own.");
    expect(account).toContain("Shelf: 4 attempts, ");
    const several = await page(`/compare?a=${a}&b=${b}&b=${a}`);
    expect(several).toContain("Duct");
  });
});

describe("two builds of a graphics card", () => {
  const card = {
    ...{ name: "Lens", kind: "gpu", stockClockMhz: 2490, axis: "offset", mainPlace: "edge" },
    offset: { name: "Clock offset", unit: "MHz", step: 15, harder: "up" },
    knobs: [
      {
        ...{ id: "power-limit", name: "Power limit", unit: "%", step: 5, harder: "up", belongs: "context" },
        usual: 100,
      },
    ],
  };

  it("are compared in heat and power at the same offset and knobs, whatever clock was read there", async () => {
    const server = await testServer();
    const { a, b, ran, page } = await pairOn(server, await chipOf(server, card));
    for (const build of [a, b])
      for (const mountedAt of [null, "2031-04-05T12:00:00.000Z"]) {
        if (mountedAt) await server.send("POST", `/api/builds/${build}/mounts`, { mountedAt });
        for (const n of [0, 1])
          await ran(build, {
            ...{ offset: 120, clockMhz: 2600 + n, voltageMv: 1050, knobs: { "power-limit": 110 } },
            ...{
              loadTempC: (build === a ? 66 : 60) + n / 10,
              ambientC: 21,
              powerW: 230 + n,
              powerAt: "chip",
            },
          });
      }
    await ran(a, { offset: 120, loadTempC: 75, ambientC: 21, powerW: 210, powerAt: "chip" });
    await ran(b, { offset: 105, loadTempC: 60, ambientC: 21, powerW: 190, powerAt: "chip" });
    const { body } = await server.send("GET", `/api/compare?a=${a}&b=${b}`);
    const set = "offset +120 MHz, power limit 110 %";
    const at = { offset: 120, clockMhz: null, voltageMv: null, knobs: { "power-limit": 110 }, set };
    expect(body.sameSetting).toMatchObject([
      { measure: "loadRise", ...at, difference: expect.closeTo(-6, 1), runs: [4, 4] },
      { measure: "power", ...at, difference: expect.closeTo(0, 1) },
    ]);
    const whole = await page(`/compare?a=${a}&b=${b}`);
    expect(whole).toContain("How far each goes");
    expect(whole).not.toMatch(/[Pp]art by part|data-head="Part"/);
    expect(body.detail).toContain(`At ${set} Duct`);
    const html = await page(`/compare?a=${a}&b=${b}`);
    expect(html).toContain(set);
    expect(html).toContain("load temperature over the room");
    expect(html).not.toContain("0 MHz at");
    expect(await page(`/write-up?builds=${a},${b}`)).toContain(set);
  });

  it("are compared where one said that a knob stood as usual and the other said nothing of it", async () => {
    const server = await testServer();
    const { a, b, ran, page } = await pairOn(server, await chipOf(server, card));
    const run = { offset: 120, ambientC: 21, powerAt: "chip" };
    for (const n of [0, 1]) {
      await ran(a, { ...run, loadTempC: 66, powerW: 230 + n, knobs: { "power-limit": 100 } });
      await ran(b, { ...run, loadTempC: 60, powerW: 220 + n });
    }
    await ran(b, { ...run, loadTempC: 63, powerW: 244, knobs: { "power-limit": 110 } });
    const { body } = await server.send("GET", `/api/compare?a=${a}&b=${b}`);
    const at = { offset: 120, knobs: { "power-limit": 100 }, set: "offset +120 MHz", runs: [2, 2] };
    expect(body.sameSetting).toMatchObject([
      { measure: "loadRise", ...at, difference: expect.closeTo(-6, 9) },
      { measure: "power", ...at, difference: expect.closeTo(-10, 9) },
    ]);
    expect(await page(`/compare?a=${a}&b=${b}`)).toContain("+120 MHz");
  });

  it("of two entries are not compared at usual where the usual of a knob is not the same", async () => {
    const server = await testServer();
    const [knob] = card.knobs;
    const raised = await chipOf(server, { ...card, name: "Lens b", knobs: [{ ...knob, usual: 110 }] });
    const { a, ran } = await pairOn(server, await chipOf(server, card));
    const boardId = (await server.send("GET", `/api/builds/${a}`)).body.boardId;
    const made = await server.send("POST", "/api/builds", { name: "Frame", chipId: raised, boardId });
    const b = made.body.id as string;
    await ran(a, { offset: 120, powerW: 230 });
    await ran(b, { offset: 120, powerW: 244 });
    expect((await server.send("GET", `/api/compare?a=${a}&b=${b}`)).body.sameSetting).toEqual([]);
    await ran(b, { offset: 120, powerW: 231, knobs: { "power-limit": 100 } });
    expect((await server.send("GET", `/api/compare?a=${a}&b=${b}`)).body.sameSetting).toMatchObject([
      { measure: "power", a: 230, b: 231, set: "offset +120 MHz" },
    ]);
  });

  it("is followed by its control along the offset, and its drift told with it", async () => {
    const server = await testServer();
    const chip = await chipOf(server, card);
    const { a, ran, page } = await pairOn(server, chip);
    for (const [n, loadTempC] of [66, 66.2, 71, 71.1].entries())
      await ran(a, {
        ...{ offset: 60, clockMhz: 2540 + n, loadTempC, ambientC: 21, tags: ["control"] },
        ...(n % 2 === 0 && { knobs: { "power-limit": 100 } }),
      });
    const { builds } = (await server.send("GET", `/api/drift?chip=${chip}`)).body;
    expect(builds).toMatchObject([{ control: { offset: 60, tagged: true, runs: 4, days: 4 } }]);
    expect(await page(`/changes?chip=${chip}`)).toContain("The control is +60 MHz under");
    // A loudness is read under a load; the clocks that an offset came to are no settings.
    const noise = await page(`/noise?build=${a}`);
    expect(noise).toMatch(/<option[^>]*>Stacking<\/option>/);
    expect(noise).not.toMatch(/254\d MHz/);
  });
});

describe("two builds of a memory", () => {
  it("have their rates told in the chip's own unit on every page and in the account", async () => {
    const server = await testServer();
    const chip = await chipOf(server, {
      ...{ name: "Set A", kind: "memory", clockUnit: "MT/s", model: "Set", stockClockMhz: 5600 },
    });
    const { a, b, ran, page, heavy } = await pairOn(server, chip);
    for (const [build, best] of [
      [a, 6000],
      [b, 6200],
    ] as const) {
      for (const clockMhz of [best - 200, best])
        await ran(build, {
          ...{ clockMhz, voltageMv: 1350, powerW: clockMhz / 1000, powerAt: "board", score: clockMhz / 10 },
        });
      await ran(build, { clockMhz: best + 200, voltageMv: 1350, outcome: "freeze", durationS: 60 });
    }
    const first = (await server.send("GET", `/api/builds/${a}/attempts?limit=1`)).body.items[0].id as string;
    const second = await server.send("POST", "/api/chips", {
      ...{ name: "Set B", kind: "memory", clockUnit: "MT/s", model: "Set", tempLimitC: 95 },
    });
    expect(second.status).toBe(201);
    const addresses = [
      `/compare?a=${a}&b=${b}`,
      `/compare?a=${a}&b=${b}&b=${a}`,
      `/builds/${a}/power?workload=${heavy}`,
      `/builds/${a}`,
      "/builds",
      "/parts",
      `/attempts/${first}`,
      `/write-up?builds=${a},${b}`,
      `/write-up?builds=${a}`,
    ];
    for (const address of addresses) {
      const html = await page(address);
      // A build without an answer has no clock to tell there.
      if (address !== "/builds") expect(html, address).toContain("MT/s");
      const wrong = /.{0,60}\d\s?(?:<[^>]*>)*MHz.{0,20}/.exec(html)?.[0];
      // Among the parts stands a processor too.
      if (address !== "/parts") expect(wrong, address).toBeUndefined();
    }
    const { body } = await server.send("GET", `/api/compare?a=${a}&b=${b}`);
    expect(body.clockUnit).toBe("MT/s");
    expect(`${body.sentence} ${body.detail}`).not.toContain("MHz");
    const power = await server.send("GET", `/api/builds/${a}/power`);
    expect(JSON.stringify(power.body)).not.toMatch(/\d MHz/);
  });
});
