import { describe, expect, it } from "vitest";
import { smallWorld, type TestServer, testServer } from "../../support/bench.ts";

/** A series of three changes, each build mounted three times at one setting. */
async function series(server: TestServer) {
  const { send } = server;
  const world = await smallWorld(server);
  const made = async (name: string, basedOn: string, change: string) =>
    (await send("POST", "/api/builds", { name, chipId: world.chip, boardId: world.small, basedOn, change }))
      .body.id as string;
  const paste = await made("New paste", world.cupboard, "new paste");
  const panel = await made("Panel off", paste, "side panel off");
  const fans = await made("Faster fans", panel, "fans two steps up");
  const builds = [world.cupboard, paste, panel, fans];
  const rises = [60, 59.6, 52, 49];
  for (const [which, buildId] of builds.entries())
    for (const [mount, off] of [-0.4, 0.1, 0.3].entries()) {
      const hour = 10 + mount;
      if (mount > 0)
        await send("POST", `/api/builds/${buildId}/mounts`, {
          mountedAt: `2031-05-0${which + 1}T${hour}:00:00Z`,
        });
      await send("POST", `/api/builds/${buildId}/attempts`, {
        workloadId: world.heavy,
        clockMhz: 4600,
        voltageMv: 1200,
        outcome: "pass",
        durationS: 900,
        ambientC: 22,
        loadTempC: 22 + rises[which]! + off,
        powerW: 150 + mount,
        startedAt: `2031-05-0${which + 1}T${hour}:05:00Z`,
      });
    }
  return { ...world, paste, panel, fans };
}

describe("GET /changes", () => {
  it("says what to do on an empty journal", async () => {
    const server = await testServer();
    const { status, body } = await server.send("GET", "/changes");
    expect(status).toBe(200);
    expect(body).toContain("No chip on the bench yet");
  });

  it("says what to run on each build, and of very many on those that a change touches", async () => {
    const server = await testServer();
    const { chip, small } = await series(server);
    const html = async () => (await server.send("GET", `/changes?chip=${chip}`)).body as string;
    const answered = async () => (await server.send("GET", `/api/changes?chip=${chip}`)).body.answers.length;
    expect(await html()).toContain("What to run on each build");
    expect(await answered()).toBe(5);
    for (let n = 0; n < 40; n += 1)
      await server.send("POST", "/api/builds", { name: `Shelf ${n}`, chipId: chip, boardId: small });
    expect(await html()).toContain("What to run on the builds that a change touches");
    expect(await html()).not.toContain("Shelf 7");
    expect(await answered()).toBe(4);
  });

  it("tells every stated change of a series, the largest effect first, with its interval", async () => {
    const server = await testServer();
    const { chip } = await series(server);
    const html = (await server.send("GET", `/changes?chip=${chip}`)).body as string;
    expect(html.match(/<h1/g)).toHaveLength(1);
    expect(html).toMatch(/<h1>“side panel off” did most: −7\.6 °C load temperature over the room/);
    const table = /id="effect-table-loadRise".*?<\/table>/s.exec(html)?.[0] ?? "";
    const places = ["side panel off", "fans two steps up", "new paste"].map((change) =>
      table.indexOf(change),
    );
    expect(places.every((place) => place > 0)).toBe(true);
    expect(places).toEqual([...places].sort((a, b) => a - b));
    expect(table).toContain("no difference beyond scatter");
    expect(table).toContain("differs");
  });

  it("says where nothing is known of a change, and what to run", async () => {
    const server = await testServer();
    const { chip, cupboard, large } = await smallWorld(server);
    await server.send("POST", "/api/builds", {
      name: "Feet",
      chipId: chip,
      boardId: large,
      basedOn: cupboard,
      change: "rubber feet",
    });
    const html = (await server.send("GET", `/changes?chip=${chip}`)).body as string;
    expect(html).toContain("“rubber feet”: run Feet at a setting that Cupboard ran too.");
  });

  it("asks for control runs where there are none, and answers a chip that is not there with 404", async () => {
    const server = await testServer();
    const { chip } = await smallWorld(server);
    expect((await server.send("GET", `/changes?chip=${chip}`)).body).toContain("tag it “control”");
    expect((await server.send("GET", "/changes?chip=nonsense")).status).toBe(404);
    expect((await server.send("GET", "/changes?chip=0197f000-0000-7000-8000-00000000dead")).status).toBe(404);
  });
});

describe("the same for scripts", () => {
  it("GET /api/changes and /api/drift answer with effects, intervals and verdicts", async () => {
    const server = await testServer();
    const { chip, panel, paste, cupboard } = await series(server);
    const { body } = await server.send("GET", `/api/changes?chip=${chip}`);
    expect(body.changes).toHaveLength(3);
    const [, second] = body.changes;
    expect(second).toMatchObject({ from: paste, to: panel, change: "side panel off" });
    // biome-ignore lint/suspicious/noExplicitAny: an answer is read by the test that asked for it
    const heat = second.effects.find((effect: any) => effect.measure === "loadRise");
    expect(heat).toMatchObject({ difference: -7.6, verdict: "differs", runs: [3, 3], mounts: [3, 3] });
    server.clock.pass(5 * 86_400);
    for (const day of [6, 7])
      for (const hour of [10, 11])
        await server.send("POST", `/api/builds/${cupboard}/attempts`, {
          workloadId: (await server.send("GET", "/api/workloads")).body.items.find(
            (load: { name: string }) => load.name === "Stacking",
          ).id,
          clockMhz: 4600,
          voltageMv: 1200,
          outcome: "pass",
          durationS: 900,
          ambientC: 22,
          loadTempC: 82 + 0.1 * (hour - 10),
          startedAt: `2031-05-0${day}T${hour}:00:00Z`,
        });
    const drift = (await server.send("GET", `/api/drift?chip=${chip}`)).body;
    expect(drift.builds[0]).toMatchObject({
      buildId: cupboard,
      control: { tagged: false, days: 3, clockMhz: 4600 },
    });
    expect(drift.builds[0].drifts[0]).toMatchObject({
      measure: "loadRise",
      remounted: false,
      difference: -0.25,
    });
    expect((await server.send("GET", "/api/changes")).status).toBe(400);
  });
});
