import { describe, expect, it } from "vitest";
import { smallWorld, testServer } from "../support/bench.ts";
import { cardWorld } from "../support/settingWorlds.ts";

describe("GET /builds/:id/note", () => {
  it("says everything that was set with the attempt nearest to a setting, on a page and as text", async () => {
    const server = await testServer();
    const { cupboard, heavy } = await smallWorld(server);
    await server.send("POST", `/api/builds/${cupboard}/attempts`, {
      workloadId: heavy,
      clockMhz: 4600,
      voltageMv: 1200,
      outcome: "pass",
      durationS: 900,
      loadLine: "level 4 <of 8>",
      alsoSet: [{ name: "Ring ratio", value: 40, harder: "up" }],
    });
    const page = await server.send("GET", `/builds/${cupboard}/note?clockMhz=4575&voltageMv=1187.5`);
    expect(page.status).toBe(200);
    expect(page.body).toContain("level 4 &lt;of 8>");
    expect(page.body).toContain("the nearest on record");
    const text = await server.send("GET", `/builds/${cupboard}/note.txt?clockMhz=4600&voltageMv=1200`);
    expect(text.body).toBe(
      [
        "Tern 8 on Quay S: Cupboard",
        "",
        "Clock         4600 MHz",
        "Core voltage  1.200 V",
        "Load-line     level 4 <of 8>",
        "Ring ratio    40",
        "",
        "What else was set is taken from the attempt of 2031-05-04 at 4600 MHz and 1.200 V.",
        "",
      ].join("\n"),
    );
  });

  it("has of a card the power limit it ran with and the driver of then, and calls it once", async () => {
    const server = await testServer();
    const { rig, load } = await cardWorld(server);
    const chip = (await server.send("GET", "/api/chips")).body.items[0];
    await server.send("PATCH", `/api/builds/${rig}`, { name: `${chip.name} on Pier` });
    await server.send("POST", `/api/builds/${rig}/versions`, {
      ...{ of: "driver", name: "551.2", since: "2031-04-01T00:00:00Z" },
    });
    const ran = (i: number, told: object) =>
      server.send("POST", `/api/builds/${rig}/attempts`, {
        ...{ workloadId: load, durationS: 7200, ambientC: 21, loadTempC: 60, settingReadBack: "confirmed" },
        ...{ startedAt: new Date(Date.UTC(2031, 4, 1, 3 * i)).toISOString(), ...told },
      });
    const steps = Array.from({ length: 11 }, (_, i) => 15 * i);
    for (const [i, offset] of steps.entries())
      await ran(i, { offset, outcome: "pass", knobs: { "power-limit": 105 } });
    await ran(12, { offset: 300, outcome: "artefacts", durationS: 60, knobs: { "power-limit": 115 } });
    const { body: best } = await server.send("GET", `/api/builds/${rig}/best`);
    expect(steps).toContain(best.setting.offset);
    const text = (await server.send("GET", `/builds/${rig}/note.txt`)).body as string;
    expect(text.split("\n")[0]).toBe(`${chip.name} on Pier`);
    expect(text).toMatch(/^Power limit +105 %$/m);
    expect(text).toMatch(/^Driver +551\.2$/m);
    expect(text).toMatch(/^Memory offset +0 MHz$/m);
  });

  it("refuses a setting that cannot be meant", async () => {
    const server = await testServer();
    const { cupboard } = await smallWorld(server);
    expect((await server.send("GET", `/builds/${cupboard}/note?clockMhz=4600`)).status).toBe(400);
    expect((await server.send("GET", `/builds/nobody/note?clockMhz=4600&voltageMv=1200`)).status).toBe(404);
  });
});
