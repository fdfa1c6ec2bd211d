import { describe, expect, it } from "vitest";
import { testServer } from "../support/bench.ts";
import { cardWorld, memoryWorld } from "../support/settingWorlds.ts";

describe("firmware and driver versions", () => {
  it("are dated like mounts, and a version said of a build begins now where another ran", async () => {
    const server = await testServer();
    const { send } = server;
    const { rig } = await cardWorld(server);
    const since = "2031-05-01T10:00:00.000Z";
    const first = await send("POST", `/api/builds/${rig}/versions`, { of: "driver", name: "88.1", since });
    expect([first.status, first.body]).toMatchObject([201, { of: "driver", name: "88.1", since }]);
    expect((await send("GET", `/api/builds/${rig}`)).body).toMatchObject({
      ...{ firmwareVersion: null, driverVersion: "88.1" },
    });
    const patched = await send("PATCH", `/api/builds/${rig}`, { driverVersion: "90.2", note: "updated" });
    expect([patched.status, patched.body]).toMatchObject([200, { driverVersion: "90.2", note: "updated" }]);
    await send("PATCH", `/api/builds/${rig}`, { driverVersion: "90.2" });
    const { items } = (await send("GET", `/api/builds/${rig}/versions`)).body;
    expect(items.map(({ name }: { name: string }) => name)).toEqual(["90.2", "88.1"]);
    expect((await send("DELETE", `/api/versions/${items[0].id}`)).status).toBe(204);
    expect((await send("GET", `/api/builds/${rig}`)).body.driverVersion).toBe("88.1");
    const back = await send("PUT", `/api/versions/${items[0].id}/restoration`);
    expect([back.status, back.body.name]).toEqual([200, "90.2"]);
    const refused = await send("POST", `/api/builds/${rig}/versions`, { of: "cooler", name: "1" });
    expect([refused.status, refused.body.error.fields.of]).toEqual([
      400,
      "A version is of one of: firmware, driver.",
    ]);
  });
});

describe("a journal with offsets, knobs and memory", () => {
  it("goes whole into another one, and takes a document from before there were such fields", async () => {
    const server = await testServer();
    const { send } = server;
    const { rig, load } = await cardWorld(server);
    const memory = await memoryWorld(server);
    const run = await send("POST", `/api/builds/${rig}/attempts`, {
      ...{
        workloadId: load,
        offset: 120,
        outcome: "artefacts",
        durationS: 340,
        knobs: { "power-limit": 105 },
      },
      ...{ temps: { hotspot: 97 }, freshBoot: true, settingReadBack: "confirmed" },
    });
    expect(run.status).toBe(201);
    const held = await send("POST", `/api/builds/${memory.build}/attempts`, {
      ...{ workloadId: memory.load, clockMhz: 6000, voltageMv: 1350, outcome: "pass", durationS: 1800 },
      ...{ knobs: { cl: 30, controller: { auto: 1.15 } }, training: "full", starts: { tried: 2, up: 2 } },
      ...{ cycles: 3, correctedErrors: { memory: 2, bus: 1 }, errors: [{ atS: 60, module: "A2" }] },
    });
    expect(held.body).toMatchObject({ correctedErrors: 3, correctedErrorsAt: { memory: 2, bus: 1 } });
    await send("PATCH", `/api/attempts/${run.body.id}`, { output: "sum 3 differs" });
    await send("POST", `/api/builds/${rig}/versions`, { of: "firmware", name: "F12" });
    const document = (await send("GET", "/api/export")).body;
    const other = await testServer();
    const merged = await other.send("POST", "/api/import", document);
    expect([merged.status, merged.body.conflicts]).toEqual([200, []]);
    const again = (await other.send("GET", "/api/export")).body;
    expect({ ...again, exportedAt: "" }).toEqual({ ...document, exportedAt: "" });

    const { versions: _v, outputs: _o, ...old } = document;
    const fields = ["workloadId", "outcome", "durationS", "startedAt", "clockMhz", "voltageMv", "note"];
    const kept = ["id", "createdAt", "updatedAt", "version", "buildId", "mountId", "asBuilt", "aboveCeiling"];
    const plain = document.attempts
      .filter(({ buildId }: { buildId: string }) => buildId === memory.build)
      .map((one: Record<string, unknown>) =>
        Object.fromEntries([...fields, ...kept].map((name) => [name, one[name]])),
      );
    const third = await testServer();
    const taken = await third.send("POST", "/api/import", { ...old, attempts: plain });
    expect([taken.status, taken.body.conflicts]).toEqual([200, []]);
  });
});
