import { describe, expect, it } from "vitest";
import { seededRandom } from "../../server/numerics/seededRandom.ts";
import { plainText } from "../support/answersSaid.ts";
import { smallWorld, type TestServer, testServer } from "../support/bench.ts";

const clockGrid = [5200, 5600, 6000, 6200, 6400, 6800];

/** A memory of which only some rates exist, and how one of its runs ends. */
async function memory(server: TestServer) {
  const { heavy, frame } = await smallWorld(server);
  const chip = await server.send("POST", "/api/chips", {
    ...{ name: "Set A", kind: "memory", tempLimitC: 85, clockUnit: "MT/s", clockGrid },
    ...{ stockClockMhz: 5200, stockVoltageMv: 1200, voltageCeilingMv: 1400 },
    knobs: [
      { id: "cl", name: "CL", step: 1, harder: "down", belongs: "setting", usual: 36 },
      { id: "trcd", name: "tRCD", step: 1, harder: "down", belongs: "setting", usual: 38 },
      {
        id: "controller",
        name: "Controller voltage",
        unit: "V",
        harder: "none",
        belongs: "setting",
        usual: 1.1,
      },
    ],
  });
  const { boardId } = server.journal.builds.find(frame)!;
  const built = await server.send("POST", "/api/builds", { name: "Shelf", chipId: chip.body.id, boardId });
  const build = built.body.id as string;
  const random = seededRandom(5);
  const ran = async (clockMhz: number, voltageMv: number, plannedS: number) => {
    const perMinute = Math.exp((clockMhz - 6300 - 1.5 * (voltageMv - 1300)) / 40) / 60;
    const failsS = (-60 * Math.log(random.uniform())) / perMinute;
    const ended =
      failsS < plannedS
        ? { outcome: "wrong-result", durationS: Math.round(failsS) }
        : { outcome: "pass", durationS: plannedS };
    const sent = await server.send("POST", `/api/builds/${build}/attempts`, {
      ...{ workloadId: heavy, clockMhz, voltageMv, knobs: { cl: 32 }, ...ended },
      ...{ loadTempC: 45, ambientC: 22 },
    });
    return sent.status;
  };
  return { build, ran };
}

const numbersIn = (found: object): number[] =>
  [...JSON.stringify(found).matchAll(/"clockMhz":([\d.]+)/g)].map(([, mhz]) => Number(mhz));

describe("a chip of which only some rates exist", () => {
  it("is searched, mapped and answered at those alone, and each proposal can be recorded", async () => {
    const server = await testServer();
    const { build, ran } = await memory(server);
    const next = async (query: string) =>
      (await server.send("GET", `/api/builds/${build}/next?${query}`)).body;
    expect(await ran(5200, 1200, 900)).toBe(201);
    const told: number[] = [];
    for (const query of ["voltagesMv=1250,1300,1350", "voltageMv=1300", "voltageMv=1275&minutes=90"]) {
      let asked = await next(query);
      for (let tries = 0; tries < 20 && !("settled" in asked); tries++) {
        told.push(...numbersIn(asked));
        expect(await ran(asked.clockMhz, asked.voltageMv, asked.durationS)).toBe(201);
        asked = await next(query);
      }
      expect(asked, query).toHaveProperty("settled");
      told.push(...numbersIn(asked));
    }
    const { body: best } = await server.send("GET", `/api/builds/${build}/best`);
    told.push(...numbersIn(best));
    expect(best.setting.clockMhz).toBeGreaterThanOrEqual(6000);
    expect(told.filter((clockMhz) => !clockGrid.includes(clockMhz))).toEqual([]);
  }, 60_000);

  it("goes up by the next rate by hand, and no further than the last", async () => {
    const server = await testServer();
    const { build, ran } = await memory(server);
    const stepUp = async () => {
      const { body } = await server.send("GET", `/?build=${build}&aim=steps`);
      return /<a[^>]*clockMhz=([\d.]+)[^>]*><span>One step up/.exec(body)?.[1];
    };
    await ran(5600, 1400, 60);
    expect(await stepUp()).toBe("6000");
    await ran(6800, 1400, 60);
    expect(await stepUp()).toBeUndefined();
  });

  it("foretells the heat of a rate from runs with other timings too", async () => {
    const server = await testServer();
    const { build, ran } = await memory(server);
    for (const rate of [5200, 5600]) await ran(rate, 1350, 900);
    const { workloadId } = server.journal.attempts.newestOf(build, 1).items[0]!;
    server.clock.pass(3600);
    await server.send("POST", `/api/builds/${build}/attempts`, {
      ...{ workloadId, clockMhz: 5200, voltageMv: 1350, outcome: "pass", durationS: 900, knobs: { cl: 28 } },
    });
    const { body } = await server.send("GET", `/api/builds/${build}/next?voltageMv=1350`);
    expect(body.durationS).toBeGreaterThan(0);
    expect(body.expectedTempC?.mid).toBeGreaterThan(40);
    expect(body.expectedTempC?.mid).toBeLessThan(55);
  });

  it("says the knobs of the answer beside it: on its page, in the note, in the account and as JSON", async () => {
    const server = await testServer();
    const { build, ran } = await memory(server);
    for (const rate of [5200, 5600, 5600, 6000]) await ran(rate, 1350, 3600);
    const { body: best } = await server.send("GET", `/api/builds/${build}/best`);
    expect(best.setting.knobs).toEqual({ cl: 32, trcd: 38, controller: 1.1 });
    const words = "timings 32-38, controller voltage 1.1 V";
    expect(best.load).toBe("Stacking");
    expect(best.knobs).toEqual({ values: best.setting.knobs, words });
    const said = async (url: string) => plainText((await server.send("GET", url)).body).replaceAll("\\", "");
    expect(await said(`/builds/${build}`)).toContain(`Under Stacking, with ${words}. From 4 attempts`);
    expect(await said(`/builds/${build}/note.txt`)).toMatch(/CL 32.*tRCD 38.*Controller voltage 1\.1 V/);
    expect(await said(`/write-up.md?builds=${build}`)).toContain(`Under Stacking, with ${words}.`);
  });
});
