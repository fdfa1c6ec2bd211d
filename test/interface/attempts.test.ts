import { describe, expect, it } from "vitest";
import { freshJournal, smallWorld, testServer } from "../support/bench.ts";

const passAt = (workloadId: string, clockMhz: number, voltageMv: number, more: object = {}) => ({
  workloadId,
  clockMhz,
  voltageMv,
  outcome: "pass",
  durationS: 900,
  ...more,
});

describe("POST /api/builds/:id/attempts", () => {
  it("keeps what was sent and answers every field", async () => {
    const server = await testServer();
    const { cupboard, heavy } = await smallWorld(server);
    const sent = await server.send(
      "POST",
      `/api/builds/${cupboard}/attempts`,
      passAt(heavy, 4625.0004, 1337.5, { loadTempC: 83, ambientC: 22.5, tags: ["first"], throttled: false }),
    );
    expect(sent.status).toBe(201);
    expect(sent.body).toMatchObject({
      clockMhz: 4625,
      voltageMv: 1337.5,
      outcome: "pass",
      loadTempC: 83,
      peakTempC: null,
      throttled: false,
      tags: ["first"],
      setAside: null,
      startedAt: "2031-05-04T13:27:00.000Z",
    });
    const read = await server.send("GET", `/api/attempts/${sent.body.id}`);
    expect(read.body).toEqual(sent.body);
    expect(read.headers.etag).toBe('"1"');
  });

  it("arms one attempt of a build at a time", async () => {
    const server = await testServer();
    const { cupboard, frame, heavy } = await smallWorld(server);
    const armed = { workloadId: heavy, clockMhz: 4600, voltageMv: 1200, outcome: "running", plannedS: 900 };
    expect((await server.send("POST", `/api/builds/${cupboard}/attempts`, armed)).status).toBe(201);
    const second = await server.send("POST", `/api/builds/${cupboard}/attempts`, armed);
    expect(second.status).toBe(409);
    expect(second.body.error.code).toBe("conflict");
    expect((await server.send("POST", `/api/builds/${frame}/attempts`, armed)).status).toBe(201);
  });

  it("asks for a confirmation above the voltage ceiling and keeps it", async () => {
    const server = await testServer();
    const { cupboard, heavy } = await smallWorld(server);
    const address = `/api/builds/${cupboard}/attempts`;
    const refused = await server.send("POST", address, passAt(heavy, 4600, 1360));
    expect(refused.status).toBe(409);
    expect((await server.send("GET", address)).body.items).toEqual([]);
    const meant = await server.send("POST", address, passAt(heavy, 4600, 1360, { aboveCeiling: true }));
    expect(meant.body.aboveCeiling).toBe(true);
  });

  it("refuses what contradicts itself, beside the field, and changes nothing", async () => {
    const server = await testServer();
    const { cupboard, heavy } = await smallWorld(server);
    const address = `/api/builds/${cupboard}/attempts`;
    const cases: [object, string][] = [
      [passAt(heavy, 0, 1200), "clockMhz"],
      [passAt(heavy, 20_001, 1200), "clockMhz"],
      [passAt(heavy, 4600, 99), "voltageMv"],
      [passAt(heavy, 4600, 1200, { durationS: null }), "durationS"],
      [passAt(heavy, 4600, 1200, { plannedS: 901 }), "durationS"],
      [passAt(heavy, 4600, 1200, { outcome: "fine" }), "outcome"],
      [passAt(heavy, 4600, 1200, { loadTempC: 201 }), "loadTempC"],
      [passAt(heavy, 4600, 1200, { ambient: 20 }), "ambient"],
      [passAt(heavy, 4600, 1200, { failedFromS: 1, failedToS: 2 }), "failedFromS"],
      [passAt(heavy, 4600, 1200, { startedAt: "yesterday" }), "startedAt"],
      [passAt("0197f000-0000-7000-8000-00000000dead", 4600, 1200), "workloadId"],
      [{ clockMhz: 4600 }, "workloadId"],
    ];
    for (const [body, field] of cases) {
      const refused = await server.send("POST", address, body);
      expect([refused.status, refused.body.error.code], field).toEqual([400, "invalid"]);
      expect(Object.keys(refused.body.error.fields), JSON.stringify(body)).toContain(field);
    }
    expect((await server.send("GET", address)).body.items).toEqual([]);
  });

  it("answers a repeat with its key as it answered first, also after a restart, and 409 with another body", async () => {
    const journal = freshJournal();
    const first = await testServer(journal);
    const { cupboard, heavy } = await smallWorld(first);
    const address = `/api/builds/${cupboard}/attempts`;
    const key = { "idempotency-key": "bench-7" };
    const once = await first.send("POST", address, passAt(heavy, 4600, 1200), key);
    await first.app.close();
    const second = await testServer(freshJournalAgain(journal));
    const again = await second.send("POST", address, passAt(heavy, 4600, 1200), key);
    expect(again).toMatchObject({ status: 201, body: once.body });
    expect((await second.send("GET", address)).body.items).toHaveLength(1);
    expect((await second.send("POST", address, passAt(heavy, 4625, 1200), key)).status).toBe(409);
  });
});

const freshJournalAgain = (journal: ReturnType<typeof freshJournal>) => {
  journal.close();
  return freshJournal(journal.file);
};

describe("when an attempt began", () => {
  it("is not later than now, ten minutes apart for clocks that differ, and stays as it is where the clock jumped back", async () => {
    const server = await testServer();
    const { cupboard, heavy } = await smallWorld(server);
    const address = `/api/builds/${cupboard}/attempts`;
    const pass = { workloadId: heavy, clockMhz: 4600, voltageMv: 1200, outcome: "pass", durationS: 900 };
    const began = (seconds: number) =>
      new Date(Date.parse(server.clock.now()) + seconds * 1000).toISOString();
    const tomorrow = await server.send("POST", address, { ...pass, startedAt: began(86_400) });
    expect([tomorrow.status, tomorrow.body.error.fields.startedAt]).toEqual([
      400,
      expect.stringContaining("cannot begin later than now"),
    ]);
    expect((await server.send("POST", address, { ...pass, startedAt: began(300) })).status).toBe(201);
    const armed = (await server.send("POST", address, { ...pass, outcome: "running", durationS: null })).body;
    server.clock.pass(-86_400);
    const own = `/api/attempts/${armed.id}`;
    expect((await server.send("PATCH", own, { outcome: "freeze", durationS: 20 })).status).toBe(200);
    expect((await server.send("PATCH", own, { startedAt: began(86_400) })).status).toBe(200);
    expect((await server.send("PATCH", own, { startedAt: began(80_000) })).status).toBe(400);
  });
});

describe("POST /api/attempts/:id/heartbeats", () => {
  it("keeps a heartbeat once, by how far it tells or by its number, also when it comes again after the end", async () => {
    const server = await testServer();
    const { cupboard, heavy } = await smallWorld(server);
    const armed = { workloadId: heavy, clockMhz: 4600, voltageMv: 1200, outcome: "running" };
    const { id } = (await server.send("POST", `/api/builds/${cupboard}/attempts`, armed)).body;
    const beat = async (body: object) => {
      server.clock.pass(1);
      return (await server.send("POST", `/api/attempts/${id}/heartbeats`, body)).status;
    };
    const last = () => server.journal.attempts.lastHeartbeat(id, "machine");
    expect(await beat({ elapsedS: 10, seq: 1, tempC: 60 })).toBe(204);
    const first = last();
    for (const again of [{ elapsedS: 10 }, { elapsedS: 10, seq: 1, tempC: 70 }, { elapsedS: 11, seq: 1 }])
      expect(await beat(again)).toBe(204);
    expect(last()).toEqual(first);
    expect(await beat({ elapsedS: 11, seq: 2 })).toBe(204);
    expect(last()).toMatchObject({ elapsedS: 11, seq: 2 });
    await server.send("PATCH", `/api/attempts/${id}`, { outcome: "freeze", durationS: 12 });
    expect(await beat({ elapsedS: 11, seq: 2 })).toBe(204);
    expect(await beat({ elapsedS: 13, seq: 3 })).toBe(409);
  });
});

describe("PATCH /api/attempts/:id", () => {
  it("lets no ended attempt run again while another runs", async () => {
    const server = await testServer();
    const { cupboard, heavy } = await smallWorld(server);
    const address = `/api/builds/${cupboard}/attempts`;
    const ended = (await server.send("POST", address, passAt(heavy, 4600, 1200))).body;
    const armed = { workloadId: heavy, clockMhz: 4600, voltageMv: 1200, outcome: "running" };
    const running = (await server.send("POST", address, armed)).body;
    const again = () =>
      server.send("PATCH", `/api/attempts/${ended.id}`, { outcome: "running", durationS: null });
    expect((await again()).status).toBe(409);
    await server.send("PATCH", `/api/attempts/${running.id}`, { outcome: "pass", durationS: 60 });
    expect((await again()).status).toBe(200);
  });

  it("ends a running attempt and keeps what it was", async () => {
    const server = await testServer();
    const { cupboard, heavy } = await smallWorld(server);
    const armed = await server.send("POST", `/api/builds/${cupboard}/attempts`, {
      workloadId: heavy,
      clockMhz: 4600,
      voltageMv: 1200,
      outcome: "running",
      plannedS: 900,
    });
    const ended = await server.send("PATCH", `/api/attempts/${armed.body.id}`, {
      outcome: "freeze",
      durationS: 203,
    });
    expect(ended.body).toMatchObject({ outcome: "freeze", durationS: 203, version: 2 });
    const history = await server.send("GET", `/api/attempts/${armed.body.id}/history`);
    expect(history.body.items).toEqual([
      {
        at: server.clock.now(),
        changes: { outcome: ["running", "freeze"], durationS: [null, 203] },
      },
    ]);
  });

  it("leaves the sum of errors where something else is edited, and makes it anew where they are told by place", async () => {
    const server = await testServer();
    const { cupboard, heavy } = await smallWorld(server);
    const told = passAt(heavy, 4600, 1200, { correctedErrors: 5 });
    const { id } = (await server.send("POST", `/api/builds/${cupboard}/attempts`, told)).body;
    const edited = async (edit: object) => {
      const { correctedErrors, correctedErrorsAt } = (await server.send("PATCH", `/api/attempts/${id}`, edit))
        .body;
      return [correctedErrors, correctedErrorsAt];
    };
    expect(await edited({ note: "quiet" })).toEqual([5, null]);
    expect(await edited({ correctedErrors: { core: 2, cache: 1 } })).toEqual([3, { core: 2, cache: 1 }]);
    expect(await edited({ note: "" })).toEqual([3, { core: 2, cache: 1 }]);
  });

  it("refuses a stale version with both and changes nothing", async () => {
    const server = await testServer();
    const { cupboard, heavy } = await smallWorld(server);
    const { body } = await server.send("POST", `/api/builds/${cupboard}/attempts`, passAt(heavy, 4600, 1200));
    await server.send("PATCH", `/api/attempts/${body.id}`, { note: "first" }, { "if-match": '"1"' });
    const stale = await server.send(
      "PATCH",
      `/api/attempts/${body.id}`,
      { note: "second" },
      { "if-match": '"1"' },
    );
    expect(stale.status).toBe(409);
    expect(stale.body.error).toMatchObject({
      current: { note: "first", version: 2 },
      sent: { note: "second" },
    });
    expect((await server.send("GET", `/api/attempts/${body.id}`)).body.note).toBe("first");
  });
});

describe("setting aside, deleting and bringing back", () => {
  it("takes an attempt out of the frontier, visibly, and puts it back", async () => {
    const server = await testServer();
    const { cupboard, heavy } = await smallWorld(server);
    const { body } = await server.send("POST", `/api/builds/${cupboard}/attempts`, passAt(heavy, 4600, 1200));
    const held = async () =>
      (await server.send("GET", `/api/builds/${cupboard}/frontier`)).body.points[0]?.heldMhz ?? null;
    expect(await held()).toBe(4600);
    await server.send("PUT", `/api/attempts/${body.id}/set-aside`, { reason: "loose cable" });
    expect(await held()).toBeNull();
    expect((await server.send("GET", `/api/attempts/${body.id}`)).body.setAside.reason).toBe("loose cable");
    await server.send("DELETE", `/api/attempts/${body.id}/set-aside`);
    expect(await held()).toBe(4600);
  });

  it("brings a deleted attempt back within the day and not after", async () => {
    const server = await testServer();
    const { cupboard, heavy } = await smallWorld(server);
    const { body } = await server.send("POST", `/api/builds/${cupboard}/attempts`, passAt(heavy, 4600, 1200));
    expect((await server.send("DELETE", `/api/attempts/${body.id}`)).status).toBe(204);
    expect((await server.send("GET", `/api/attempts/${body.id}`)).status).toBe(404);
    expect((await server.send("PUT", `/api/attempts/${body.id}/restoration`)).status).toBe(200);
    await server.send("DELETE", `/api/attempts/${body.id}`);
    server.clock.pass(86_401);
    expect((await server.send("PUT", `/api/attempts/${body.id}/restoration`)).status).toBe(409);
  });
});

describe("GET /api/interrupted", () => {
  it("lists what was still running when the journal was opened, with the machine's own last heartbeat", async () => {
    const journal = freshJournal();
    const before = await testServer(journal);
    const { cupboard, heavy } = await smallWorld(before);
    const armed = { workloadId: heavy, clockMhz: 4600, voltageMv: 1200, outcome: "running", plannedS: 900 };
    const { body } = await before.send("POST", `/api/builds/${cupboard}/attempts`, armed);
    expect((await before.send("GET", "/api/interrupted")).body.items).toEqual([]);
    await before.send("POST", `/api/attempts/${body.id}/heartbeats`, { elapsedS: 65 });
    await before.send("POST", `/api/attempts/${body.id}/heartbeats`, { elapsedS: 60 });
    await before.send("POST", `/api/attempts/${body.id}/heartbeats`, { elapsedS: 300, from: "watcher" });
    await before.app.close();
    const after = await testServer(freshJournalAgain(journal));
    const { items } = (await after.send("GET", "/api/interrupted")).body;
    expect(items).toMatchObject([{ id: body.id, lastHeartbeat: { elapsedS: 65, from: "machine" } }]);
    expect((await after.send("POST", `/api/builds/${cupboard}/attempts`, armed)).status).toBe(409);
    expect((await after.send("DELETE", `/api/attempts/${body.id}`)).status).toBe(204);
    expect((await after.send("GET", "/api/interrupted")).body.items).toEqual([]);
    await after.send("PUT", `/api/attempts/${body.id}/restoration`);
    expect((await after.send("GET", "/api/interrupted")).body.items).toEqual(items);
    await after.send("PATCH", `/api/attempts/${body.id}`, { outcome: "restart", durationS: 65 });
    expect((await after.send("GET", "/api/interrupted")).body.items).toEqual([]);
    expect((await after.send("POST", `/api/builds/${cupboard}/attempts`, armed)).status).toBe(201);
  });
});

describe("POST /api/attempts/corrections", () => {
  it("answers with those it changed, and leaves what said so already as it was", async () => {
    const server = await testServer();
    const { cupboard, heavy } = await smallWorld(server);
    const made = async (ambientC: number) =>
      (
        await server.send(
          "POST",
          `/api/builds/${cupboard}/attempts`,
          passAt(heavy, 4600 + ambientC, 1200, { ambientC }),
        )
      ).body;
    const [wrong, right] = [await made(21), await made(24)];
    const correction = { ids: [wrong.id, right.id], field: "ambientC", value: 24 };
    const correct = async () =>
      (await server.send("POST", "/api/attempts/corrections", correction)).body.items;
    expect(await correct()).toMatchObject([{ id: wrong.id, ambientC: 24, version: wrong.version + 1 }]);
    expect((await server.send("GET", `/api/attempts/${right.id}`)).body).toEqual(right);
    expect(await correct()).toEqual([]);
  });
});
