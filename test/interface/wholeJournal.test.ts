import { describe, expect, it } from "vitest";
import { smallWorld, type TestServer, testServer } from "../support/bench.ts";
import { madeLog } from "../support/madeLog.ts";

async function fullServer() {
  const server = await testServer();
  const world = await smallWorld(server);
  const address = `/api/builds/${world.cupboard}/attempts`;
  const pass = { workloadId: world.heavy, clockMhz: 4600, voltageMv: 1200, outcome: "pass", durationS: 900 };
  const { body } = await server.send("POST", address, { ...pass, tags: ["first"] });
  server.clock.pass(60);
  await server.send("PATCH", `/api/attempts/${body.id}`, { note: "looked again" });
  await server.send("PUT", `/api/attempts/${body.id}/set-aside`, { reason: "loose cable" });
  await server.send("PATCH", `/api/builds/${world.cupboard}`, { firmware: "1.1" });
  await server.send("POST", address, { ...pass, clockMhz: 4625, outcome: "freeze", durationS: 12 });
  await server.send("POST", `/api/builds/${world.cupboard}/mounts`, {
    mountedAt: "2031-05-04T12:00:00Z",
    paste: "grey",
  });
  await server.send("POST", `/api/builds/${world.cupboard}/noise`, { distanceM: 0.5, levelsDba: [41, 42.5] });
  return { server, world, attemptId: body.id as string };
}

const exported = async ({ send }: TestServer) => {
  const { status, body } = await send("GET", "/api/export");
  expect(status).toBe(200);
  return body;
};

const logged = async (server: TestServer, id: string, seconds = 5000) =>
  server.send("POST", `/api/attempts/${id}/trace`, madeLog(seconds), { "content-type": "text/csv" });

const without = (document: object) => ({ ...document, exportedAt: null });

describe("GET /api/export and POST /api/import", () => {
  it("carry a whole journal into an empty one, every field, with edits, and mounts and states as they were", async () => {
    const { server, world, attemptId } = await fullServer();
    const document = await exported(server);
    expect(document.attempts).toHaveLength(2);
    const other = await testServer();
    const merged = await other.send("POST", "/api/import", document);
    expect([merged.status, merged.body]).toEqual([
      200,
      { added: 1 + 2 + 3 + 2 + 3 + 1 + 2, updated: 0, unchanged: 1, conflicts: [] },
    ]);
    expect(without(await exported(other))).toEqual(without(document));
    const read = (await other.send("GET", `/api/attempts/${attemptId}`)).body;
    expect(read).toMatchObject({
      note: "looked again",
      setAside: { reason: "loose cable" },
      asBuilt: { firmware: "" },
    });
    expect((await other.send("GET", `/api/builds/${world.cupboard}/frontier`)).status).toBe(200);
  });

  it("carry traces, value for value, and the last one kept stands", async () => {
    const { server, attemptId } = await fullServer();
    await logged(server, attemptId);
    const document = await exported(server);
    const other = await testServer();
    expect((await other.send("POST", "/api/import", document)).body).toMatchObject({ conflicts: [] });
    const names = ["time", "temperature", "supply", "ambient", "power"];
    expect(other.journal.traces.whole(attemptId, names)).toEqual(
      server.journal.traces.whole(attemptId, names),
    );
    expect(without(await exported(other))).toEqual(without(document));
    expect((await other.send("POST", "/api/import", document)).body).toMatchObject({ added: 0, updated: 0 });
    server.clock.pass(60);
    await logged(server, attemptId, 600);
    const later = await other.send("POST", "/api/import", await exported(server));
    expect(later.body).toMatchObject({ added: 0 });
    expect(other.journal.traces.outline(attemptId)?.rows).toBe(600);
    expect((await server.send("POST", "/api/import", document)).body.updated).toBe(0);
    expect(server.journal.traces.outline(attemptId)?.rows).toBe(600);
  });

  it("refuse a trace whose values are damaged, and change nothing", async () => {
    const { server, attemptId } = await fullServer();
    await logged(server, attemptId, 300);
    const document = await exported(server);
    const cut = document.traceChunks.map((one: { packed: string }, i: number) =>
      i === 1 ? { ...one, packed: one.packed.slice(0, 80) } : one,
    );
    const other = await testServer();
    const { status, body } = await other.send("POST", "/api/import", { ...document, traceChunks: cut });
    expect([status, body.error.message]).toEqual([
      400,
      "The export is damaged: the values of a trace cannot be read. Nothing was changed.",
    ]);
    expect(other.journal.attempts.count()).toBe(0);
  });

  it("take a part of a column that is not there for no readings, and refuse times that are not there", async () => {
    const { server, attemptId } = await fullServer();
    await logged(server, attemptId);
    const document = await exported(server);
    const lacking = (channel: string) => ({
      ...document,
      traceChunks: document.traceChunks.filter(
        (one: { channel: string; chunk: number }) => one.channel !== channel || one.chunk !== 1,
      ),
    });
    const other = await testServer();
    expect((await other.send("POST", "/api/import", lacking("power"))).status).toBe(200);
    const there = server.journal.traces.whole(attemptId, ["power"]).get("power") ?? [];
    const taken = other.journal.traces.whole(attemptId, ["power"]).get("power") ?? [];
    const isRead = Array.from(taken, (value) => !Number.isNaN(value));
    expect(taken).toHaveLength(there.length);
    expect(taken.slice(0, 4096)).toEqual(there.slice(0, 4096));
    expect(isRead.lastIndexOf(true)).toBe(4095);
    const refusing = await testServer();
    expect((await refusing.send("POST", "/api/import", lacking("time"))).status).toBe(400);
    expect(refusing.journal.attempts.count()).toBe(0);
  });

  it("changes nothing when the same is imported again", async () => {
    const { server } = await fullServer();
    const document = await exported(server);
    const again = await server.send("POST", "/api/import", document);
    expect(again.body).toEqual({ added: 0, updated: 0, unchanged: 15, conflicts: [] });
    expect(without(await exported(server))).toEqual(without(document));
  });

  it("lets the newest edit stand and lists what was edited apart", async () => {
    const { server, world } = await fullServer();
    const other = await testServer();
    await other.send("POST", "/api/import", await exported(server));
    server.clock.pass(100);
    await server.send("PATCH", `/api/chips/${world.chip}`, { note: "here, first" });
    await server.send("PATCH", `/api/boards/${world.small}`, { note: "here, once" });
    other.clock.pass(200);
    await other.send("PATCH", `/api/chips/${world.chip}`, { note: "there, later" });
    await other.send("PATCH", `/api/boards/${world.large}`, { note: "there only" });
    const { body } = await server.send("POST", "/api/import", await exported(other));
    expect(body).toMatchObject({ added: 0, updated: 2 });
    expect(body.conflicts).toEqual([
      {
        kind: "chip",
        id: world.chip,
        name: "Tern 8",
        kept: "theirs",
        because: "Both were edited apart; the newer edit stands.",
      },
    ]);
    const note = async (address: string) => (await server.send("GET", address)).body.note;
    expect(await note(`/api/chips/${world.chip}`)).toBe("there, later");
    expect(await note(`/api/boards/${world.small}`)).toBe("here, once");
    expect(await note(`/api/boards/${world.large}`)).toBe("there only");
  });

  it("leaves deleted what was deleted here, unless it was edited there meanwhile, and says so", async () => {
    const { server, attemptId } = await fullServer();
    const document = await exported(server);
    const other = await testServer();
    await other.send("POST", "/api/import", document);
    await server.send("DELETE", `/api/attempts/${attemptId}`);
    const before = without(await exported(server));
    const same = await server.send("POST", "/api/import", document);
    expect(same.body).toMatchObject({ added: 0, updated: 0, conflicts: [] });
    expect(without(await exported(server))).toEqual(before);
    await other.send("PATCH", `/api/attempts/${attemptId}`, { note: "seen again" });
    const { body } = await server.send("POST", "/api/import", await exported(other));
    expect(body).toMatchObject({
      added: 0,
      updated: 1,
      conflicts: [{ kind: "attempt", id: attemptId, kept: "theirs" }],
    });
    const read = await server.send("GET", `/api/attempts/${attemptId}`);
    expect([read.status, read.body.note]).toEqual([200, "seen again"]);
  });

  it("takes a deletion along, and a load that an attempt was run under meanwhile comes back", async () => {
    const { server, world, attemptId } = await fullServer();
    const other = await testServer();
    await other.send("POST", "/api/import", await exported(server));
    await server.send("DELETE", `/api/attempts/${attemptId}`);
    await server.send("DELETE", `/api/workloads/${world.light}`);
    await other.send("POST", `/api/builds/${world.cupboard}/attempts`, {
      ...{ workloadId: world.light, clockMhz: 4600, voltageMv: 1200, outcome: "pass", durationS: 900 },
    });
    await other.send("POST", "/api/import", await exported(server));
    expect((await other.send("GET", `/api/attempts/${attemptId}`)).status).toBe(404);
    expect((await other.send("GET", `/api/workloads/${world.light}`)).status).toBe(200);
    await server.send("POST", "/api/import", await exported(other));
    expect((await server.send("GET", `/api/workloads/${world.light}`)).status).toBe(200);
    expect(without(await exported(server))).toEqual(without(await exported(other)));
  });

  it("leave out the later of two words that would base builds on one another, the same on both benches", async () => {
    const { server, world } = await fullServer();
    const other = await testServer();
    await other.send("POST", "/api/import", await exported(server));
    await server.send("PATCH", `/api/builds/${world.cupboard}`, { basedOn: world.frame, change: "a door" });
    other.clock.pass(600);
    await other.send("PATCH", `/api/builds/${world.frame}`, { basedOn: world.cupboard, change: "no door" });
    const { body } = await other.send("POST", "/api/import", await exported(server));
    expect(body.conflicts).toMatchObject([{ kind: "build", id: world.frame }]);
    expect((await other.send("PUT", `/api/builds/${world.frame}/undoing`)).status).toBe(409);
    await server.send("POST", "/api/import", await exported(other));
    for (const each of [server, other]) {
      const based = async (id: string) => (await each.send("GET", `/api/builds/${id}`)).body.basedOn;
      expect([await based(world.cupboard), await based(world.frame)]).toEqual([world.frame, null]);
    }
    expect(without(await exported(server))).toEqual(without(await exported(other)));
  });

  it("keep of an attempt edited apart both edits, and tell in its history that neither had seen the other", async () => {
    const { server, attemptId } = await fullServer();
    const other = await testServer();
    await other.send("POST", "/api/import", await exported(server));
    await server.send("PATCH", `/api/attempts/${attemptId}`, { note: "here", ambientC: 21 });
    other.clock.pass(-86_400);
    await other.send("PATCH", `/api/attempts/${attemptId}`, { note: "there", score: 12 });
    const { body } = await server.send("POST", "/api/import", await exported(other));
    expect(body.conflicts).toHaveLength(1);
    const read = (await server.send("GET", `/api/attempts/${attemptId}`)).body;
    expect(read).toMatchObject({ ambientC: 21, score: 12 });
    const { items } = (await server.send("GET", `/api/attempts/${attemptId}/history`)).body;
    const notes = items.flatMap(
      ({ changes, apart = false }: { changes: { note?: string[] }; apart?: boolean }) =>
        changes.note ? [[changes.note[1], apart]] : [],
    );
    expect(notes).toEqual(
      expect.arrayContaining([
        ["looked again", false],
        ["here", true],
        ["there", true],
      ]),
    );
    expect(notes.at(-1)[0]).toBe(read.note);
  });

  it("take a document of the first kind, which told neither when what was written nor what was deleted", async () => {
    const { server, attemptId } = await fullServer();
    const document = await exported(server);
    const plain = ({
      stamps: _s,
      history,
      ...thing
    }: {
      stamps?: object;
      history?: { at: string; changes: object }[];
    }) =>
      history === undefined
        ? thing
        : { ...thing, history: history.map(({ at, changes }) => ({ at, changes })) };
    const { deleted: _d, ...rest } = document;
    const first = Object.fromEntries(
      Object.entries({ ...rest, version: 1 }).map(([name, value]) => [
        name,
        Array.isArray(value) ? value.map(plain) : value,
      ]),
    );
    for (const one of [first.chips, first.builds].flat() as { history?: unknown }[]) delete one.history;
    const [one, two] = [await testServer(), await testServer()];
    for (const each of [one, two]) {
      expect((await each.send("POST", "/api/import", first)).body).toMatchObject({ conflicts: [] });
      expect((await each.send("GET", `/api/attempts/${attemptId}`)).body.note).toBe("looked again");
    }
    expect(without(await exported(one))).toEqual(without(await exported(two)));
    expect((await one.send("POST", "/api/import", first)).body).toMatchObject({ added: 0, updated: 0 });
  });

  it("take an attempt that runs elsewhere once it has ended", async () => {
    const { server, world } = await fullServer();
    const other = await testServer();
    await other.send("POST", "/api/import", await exported(server));
    const arm = { workloadId: world.heavy, clockMhz: 4700, voltageMv: 1200, outcome: "running" };
    const { body } = await server.send("POST", `/api/builds/${world.cupboard}/attempts`, arm);
    const early = (await other.send("POST", "/api/import", await exported(server))).body;
    expect(early).toMatchObject({ added: 0, conflicts: [{ kind: "attempt", id: body.id, kept: "here" }] });
    expect((await other.send("GET", "/api/interrupted")).body.items).toEqual([]);
    const own = await other.send("POST", `/api/builds/${world.cupboard}/attempts`, arm);
    expect(own.status).toBe(201);
    await server.send("PATCH", `/api/attempts/${body.id}`, { outcome: "stopped", durationS: 9 });
    const late = (await other.send("POST", "/api/import", await exported(server))).body;
    expect(late).toMatchObject({ added: 1, conflicts: [] });
    expect((await other.send("GET", `/api/attempts/${body.id}`)).body.outcome).toBe("stopped");
    expect((await other.send("GET", `/api/attempts/${own.body.id}`)).body.outcome).toBe("running");
  });

  it("refuse what is malformed, incomplete or newer, and change nothing", async () => {
    const { server, world } = await fullServer();
    const document = await exported(server);
    const before = without(document);
    const attempt = document.attempts[0];
    const cases: [object, RegExp][] = [
      [{}, /not an exported journal/],
      [{ ...document, version: 3 }, /newer version/],
      [{ ...document, deleted: [{ list: "chips", thing: document.chips[0] }] }, /when it was deleted/],
      [{ ...document, deleted: [{ list: "secrets", thing: {} }] }, /A list is one of/],
      [
        { ...document, attempts: [{ ...attempt, stamps: { base: "now" } }] },
        /damaged at attempts\.0\.stamps/,
      ],
      [{ ...document, version: "1" }, /damaged at version/],
      [
        { ...document, chips: [{ ...document.chips[0], tempLimitC: "hot" }] },
        /damaged at chips\.0\.tempLimitC/,
      ],
      [{ ...document, extra: [] }, /damaged/],
      [
        { ...document, attempts: [{ ...attempt, note: "x", outcome: "pass", durationS: 5, plannedS: 9 }] },
        /A pass runs/,
      ],
      [
        {
          ...document,
          chips: [{ ...document.chips[0], updatedAt: "2040-01-01T00:00:00Z", note: "new" }],
          builds: [{ ...document.builds[0], boardId: world.chip }],
        },
        /names a board that is neither/,
      ],
    ];
    for (const [body, words] of cases) {
      const refused = await server.send("POST", "/api/import", body);
      expect([refused.status, refused.body.error?.code], String(words)).toEqual([400, "invalid"]);
      expect(refused.body.error.message).toMatch(words);
      expect(without(await exported(server))).toEqual(before);
    }
  });
});

describe("an export", () => {
  it("is of one moment, though writing goes on while it is read", async () => {
    const { server, world } = await fullServer();
    const snapshot = server.journal.snapshot();
    await server.send("PATCH", `/api/chips/${world.chip}`, { note: "later" });
    expect(snapshot.chips.find(world.chip)?.note).toBe("");
    expect(server.journal.chips.find(world.chip)?.note).toBe("later");
    snapshot.close();
  });
});
