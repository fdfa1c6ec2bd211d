import { describe, expect, it } from "vitest";
import { isId } from "../../server/bench/things/units.ts";
import { smallWorld, type TestServer, testServer } from "../support/bench.ts";
import { routesOf } from "../support/routes.ts";

const nobody = "0197f000-0000-7000-8000-00000000dead";

/** Everything the journal holds, as the interface tells it. */
async function everything({ send }: TestServer): Promise<unknown> {
  const lists = ["chips", "boards", "workloads", "rules", "builds"];
  const found: Record<string, unknown> = {};
  for (const list of lists) found[list] = (await send("GET", `/api/${list}?limit=500`)).body;
  for (const build of (found.builds as { items: { id: string }[] }).items)
    for (const below of ["mounts", "attempts", "noise"])
      found[`${build.id} ${below}`] = (await send("GET", `/api/builds/${build.id}/${below}?limit=500`)).body;
  return found;
}

describe("every refusal", () => {
  it("answers with its status, a code and a sentence, and changes nothing", async () => {
    const server = await testServer();
    const world = await smallWorld(server);
    const { chip, small, heavy, idle, cupboard } = world;
    const attempts = `/api/builds/${cupboard}/attempts`;
    const pass = { workloadId: heavy, clockMhz: 4600, voltageMv: 1200, outcome: "pass", durationS: 900 };
    const attempt = (await server.send("POST", attempts, pass)).body;
    const mount = (await server.send("GET", `/api/builds/${cupboard}/mounts`)).body.items[0];
    const before = await everything(server);

    type Case = [number, string, "GET" | "POST" | "PATCH" | "PUT" | "DELETE", string, unknown?, object?];
    const cases: Case[] = [
      [400, "invalid", "POST", "/api/chips", { name: "Wren", kind: "cpu" }],
      [400, "invalid", "POST", "/api/chips", { name: " ", kind: "cpu", tempLimitC: 95 }],
      [400, "invalid", "POST", "/api/chips", { name: "Wren", kind: "wheel", tempLimitC: 95 }],
      [400, "invalid", "POST", "/api/chips", { name: "Wren", kind: "cpu", tempLimitC: 95, colour: "red" }],
      [400, "invalid", "POST", "/api/chips", { name: "Wren", kind: "cpu", tempLimitC: "95" }],
      [400, "invalid", "POST", "/api/chips", { name: "W\u0000", kind: "cpu", tempLimitC: 95 }],
      [400, "invalid", "POST", "/api/chips", { name: "W".repeat(121), kind: "cpu", tempLimitC: 95 }],
      [400, "invalid", "POST", "/api/boards", []],
      [400, "invalid", "POST", "/api/boards", { name: "Mole", corePhases: 2.5 }],
      [400, "invalid", "POST", "/api/boards", { name: "Mole", colour: "red" }],
      [400, "invalid", "PATCH", `/api/boards/${small}`, { colour: "red" }],
      [400, "invalid", "POST", "/api/workloads", { name: "Sums", kind: "all-core", colour: "red" }],
      [400, "invalid", "POST", "/api/workloads", { name: "Sums", kind: "sums" }],
      [400, "invalid", "POST", "/api/rules", { name: "None", requires: [] }],
      [400, "invalid", "POST", "/api/rules", { name: "Both", requires: [{ durationS: 60 }] }],
      [
        400,
        "invalid",
        "POST",
        "/api/rules",
        { name: "Idle", requires: [{ workloadId: idle, durationS: 60 }] },
      ],
      [
        400,
        "invalid",
        "POST",
        "/api/rules",
        { name: "Gone", requires: [{ workloadId: nobody, durationS: 60 }] },
      ],
      [400, "invalid", "POST", "/api/builds", { name: "Loft", chipId: nobody, boardId: small }],
      [400, "invalid", "POST", "/api/builds", { name: "Loft", chipId: chip, boardId: "small" }],
      [
        400,
        "invalid",
        "POST",
        "/api/builds",
        { name: "Loft", chipId: chip, boardId: small, basedOn: nobody },
      ],
      [400, "invalid", "PATCH", `/api/builds/${cupboard}`, { basedOn: cupboard }],
      [409, "conflict", "PATCH", `/api/chips/${chip}`, { note: "x" }, { "if-match": '"9"' }],
      [400, "invalid", "PATCH", `/api/chips/${chip}`, { note: "x" }, { "if-match": "first" }],
      [400, "invalid", "PATCH", `/api/chips/${chip}`, { name: null }],
      [400, "invalid", "POST", `/api/builds/${cupboard}/mounts`, {}],
      [400, "invalid", "POST", `/api/builds/${cupboard}/noise`, { distanceM: 0.5, levelsDba: [] }],
      [400, "invalid", "POST", `/api/builds/${cupboard}/noise`, { distanceM: 0.5, levelsDba: [141] }],
      [400, "invalid", "POST", `/api/builds/${cupboard}/noise`, { levelsDba: [40] }],
      [409, "conflict", "POST", attempts, { ...pass, voltageMv: 1351 }],
      [400, "invalid", "POST", attempts, { ...pass, outcome: "running" }],
      [400, "invalid", "POST", attempts, { ...pass, durationS: 2_592_001 }],
      [400, "invalid", "PATCH", `/api/attempts/${attempt.id}`, { plannedS: 1000 }],
      [409, "conflict", "PATCH", `/api/attempts/${attempt.id}`, { voltageMv: 1360 }],
      [400, "invalid", "PUT", `/api/attempts/${attempt.id}/set-aside`, { reason: " " }],
      [409, "conflict", "POST", `/api/attempts/${attempt.id}/heartbeats`, { elapsedS: 1 }],
      [409, "conflict", "DELETE", `/api/chips/${chip}`],
      [409, "conflict", "DELETE", `/api/boards/${small}`],
      [409, "conflict", "DELETE", `/api/workloads/${heavy}`],
      [409, "conflict", "DELETE", `/api/builds/${cupboard}`],
      [409, "conflict", "DELETE", `/api/mounts/${mount.id}`],
      [409, "conflict", "DELETE", "/api/rules/00000000-0000-7000-8000-000000000001"],
      [404, "missing", "GET", `/api/chips/${nobody}`],
      [404, "missing", "GET", "/api/chips/17"],
      [404, "missing", "GET", "/api/chips/%00"],
      [404, "missing", "PATCH", `/api/boards/${nobody}`, { note: "x" }],
      [404, "missing", "DELETE", `/api/noise/${nobody}`],
      [404, "missing", "POST", `/api/builds/${nobody}/attempts`, pass],
      [404, "missing", "GET", `/api/builds/${nobody}/frontier`],
      [404, "missing", "GET", "/api/nothing"],
      [404, "missing", "PUT", "/api/chips", {}],
      [400, "invalid", "GET", "/api/chips?limit=0"],
      [400, "invalid", "GET", "/api/chips?limit=501"],
      [400, "invalid", "GET", "/api/chips?after=elsewhere"],
      [400, "invalid", "GET", "/api/chips?sort=name"],
      [400, "invalid", "GET", `/api/builds/${cupboard}/frontier?rule=${nobody}`],
      [400, "invalid", "GET", `/api/builds/${cupboard}/frontier?depth=3`],
      [400, "invalid", "GET", `/api/compare?a=${cupboard}`],
      [400, "invalid", "GET", `/api/compare?a=${cupboard}&b=${cupboard}`],
      [404, "missing", "GET", `/api/compare?a=${cupboard}&b=${nobody}`],
      [400, "invalid", "POST", "/api/boards", { name: "Mole" }, { "idempotency-key": "k".repeat(201) }],
    ];
    for (const [status, code, method, url, body, headers] of cases) {
      const reply = await server.send(method, url, body, headers);
      expect([method, url, body, reply.status, reply.body.error?.code]).toEqual([
        method,
        url,
        body,
        status,
        code,
      ]);
      expect(reply.body.error.message).toMatch(/^\S.{8,}[.?]$/);
    }
    expect(await everything(server)).toEqual(before);
  });

  it("says so too where the body cannot be read at all", async () => {
    const { app } = await testServer();
    const bodies: [string, string][] = [
      ["{", "application/json"],
      ['{"__proto__": {"name": "x"}}', "application/json"],
      ["name=Mole", "application/x-www-form-urlencoded"],
      ["<board/>", "text/xml"],
      ["", "application/json"],
    ];
    for (const [payload, type] of bodies) {
      const reply = await app.inject({
        method: "POST",
        url: "/api/boards",
        payload,
        headers: { "content-type": type },
      });
      expect([payload, reply.statusCode, reply.json().error.code]).toEqual([payload, 400, "invalid"]);
    }
  });
});

describe("lists", () => {
  it("go page by page through everything once, by name", async () => {
    const server = await testServer();
    for (let i = 0; i < 23; i++) await server.send("POST", "/api/boards", { name: `Board ${(i * 7) % 10}` });
    const names: string[] = [];
    const ids = new Set<string>();
    for (let after: string | null = ""; after !== null; ) {
      const { body } = await server.send("GET", `/api/boards?limit=5${after ? `&after=${after}` : ""}`);
      for (const board of body.items) {
        names.push(board.name);
        ids.add(board.id);
      }
      after = body.next;
    }
    expect(ids.size).toBe(23);
    expect(names).toEqual([...names].sort());
    expect([...ids].every(isId)).toBe(true);
  });

  it.each([
    ["mounts", (at: string) => ({ mountedAt: at }), "mountedAt"],
    ["versions", (at: string) => ({ of: "driver", name: at, since: at }), "since"],
    ["noise", (at: string) => ({ distanceM: 1, levelsDba: [40], takenAt: at }), "takenAt"],
  ] as const)("go page by page through the %s of a build, newest first", async (list, draft, when) => {
    const server = await testServer();
    const { cupboard } = await smallWorld(server);
    const address = `/api/builds/${cupboard}/${list}`;
    const days = ["2031-05-03T08:00:00.000Z", "2031-05-01T08:00:00.000Z", "2031-05-02T08:00:00.000Z"];
    for (const day of [...days, "2031-05-02T08:00:00.000Z"]) await server.send("POST", address, draft(day));
    const met: { id: string }[] = [];
    for (let after: string | null = ""; after !== null && met.length < 9; ) {
      const { body } = await server.send("GET", `${address}?limit=2${after ? `&after=${after}` : ""}`);
      met.push(...body.items);
      after = body.next;
    }
    const moments = met.map((one) => (one as unknown as Record<string, string | null>)[when]);
    const [last, middle, first] = [days[0], days[2], days[1]];
    expect(moments).toEqual([last, middle, middle, first, ...(list === "mounts" ? [null] : [])]);
    expect(new Set(met.map(({ id }) => id)).size).toBe(met.length);
  });

  it("list attempts newest first, each once where several began at one moment, narrowed where asked", async () => {
    const server = await testServer();
    const { cupboard, heavy } = await smallWorld(server);
    const address = `/api/builds/${cupboard}/attempts`;
    for (let i = 0; i < 12; i++)
      await server.send("POST", address, {
        workloadId: heavy,
        clockMhz: 4500 + 25 * (i % 3),
        voltageMv: 1200,
        outcome: i % 4 === 0 ? "freeze" : "pass",
        durationS: 900,
        startedAt: new Date(Date.UTC(2031, 4, 1, (i * 5) % 6)).toISOString(),
      });
    const times: string[] = [];
    const ids = new Set<string>();
    for (let after: string | null = ""; after !== null; ) {
      const { body } = await server.send("GET", `${address}?limit=5${after ? `&after=${after}` : ""}`);
      for (const { id, startedAt } of body.items) {
        times.push(startedAt);
        ids.add(id);
      }
      after = body.next;
    }
    expect([times.length, ids.size]).toEqual([12, 12]);
    expect(times).toEqual([...times].sort().reverse());
    const narrowed = await server.send("GET", `${address}?clockMhz=4525&voltageMv=1200&outcome=pass`);
    expect(narrowed.body.items).toHaveLength(3);
  });
});

describe("builds", () => {
  it("come with a first mount without a date; an attempt belongs to the latest mount before it", async () => {
    const server = await testServer();
    const { cupboard, heavy } = await smallWorld(server);
    const mounts = `/api/builds/${cupboard}/mounts`;
    const [first] = (await server.send("GET", mounts)).body.items;
    expect(first.mountedAt).toBeNull();
    const at = async (startedAt: string) =>
      (
        await server.send("POST", `/api/builds/${cupboard}/attempts`, {
          workloadId: heavy,
          clockMhz: 4600,
          voltageMv: 1200,
          outcome: "pass",
          durationS: 900,
          startedAt,
        })
      ).body;
    const early = await at("2031-05-01T10:00:00Z");
    const late = await at("2031-05-03T10:00:00Z");
    expect([early.mountId, late.mountId]).toEqual([first.id, first.id]);
    const second = (await server.send("POST", mounts, { mountedAt: "2031-05-02T08:00:00Z", paste: "grey" }))
      .body;
    const mountOf = async (id: string) => (await server.send("GET", `/api/attempts/${id}`)).body.mountId;
    expect([await mountOf(early.id), await mountOf(late.id)]).toEqual([first.id, second.id]);
  });

  it("are never based on each other, at whatever remove, by an edit or by an import", async () => {
    const server = await testServer();
    const { chip, small, cupboard, frame } = await smallWorld(server);
    const loft = { name: "Loft", chipId: chip, boardId: small, basedOn: frame, change: "a new board" };
    const { id } = (await server.send("POST", "/api/builds", loft)).body;
    expect((await server.send("PATCH", `/api/builds/${frame}`, { basedOn: cupboard })).status).toBe(200);
    for (const basedOn of [id, frame, cupboard]) {
      const { status, body } = await server.send("PATCH", `/api/builds/${cupboard}`, { basedOn });
      expect([status, Object.keys(body.error.fields)]).toEqual([400, ["basedOn"]]);
    }
    const document = (await server.send("GET", "/api/export")).body;
    const circled = document.builds.map((build: { id: string }) =>
      build.id === cupboard ? { ...build, basedOn: id, updatedAt: "2031-06-01T00:00:00.000Z" } : build,
    );
    const merged = await server.send("POST", "/api/import", { ...document, builds: circled });
    expect(merged.body.conflicts).toEqual(
      expect.arrayContaining([
        expect.objectContaining({
          id: cupboard,
          kept: "here",
          because: expect.stringContaining("would be based on itself"),
        }),
      ]),
    );
    expect((await server.send("GET", `/api/builds/${cupboard}`)).body.basedOn).toBeNull();
  });

  it("stamp their parts on the attempt and never rewrite them in its past", async () => {
    const server = await testServer();
    const { cupboard, heavy } = await smallWorld(server);
    await server.send("PATCH", `/api/builds/${cupboard}`, { firmware: "1.08" });
    const body = { workloadId: heavy, clockMhz: 4600, voltageMv: 1200, outcome: "pass", durationS: 900 };
    const before = (await server.send("POST", `/api/builds/${cupboard}/attempts`, body)).body;
    await server.send("PATCH", `/api/builds/${cupboard}`, { firmware: "1.10" });
    const after = (await server.send("POST", `/api/builds/${cupboard}/attempts`, body)).body;
    expect(after.asBuilt.firmware).toBe("1.10");
    await server.send("PATCH", `/api/attempts/${before.id}`, { note: "edited later" });
    expect((await server.send("GET", `/api/attempts/${before.id}`)).body.asBuilt.firmware).toBe("1.08");
  });
});

describe("GET /api/openapi.json", () => {
  it("describes every address from the schemas that check the input", async () => {
    const { send } = await testServer();
    const { body } = await send("GET", "/api/openapi.json");
    expect(body.openapi).toMatch(/^3\.1/);
    const attempt =
      body.paths["/api/builds/{id}/attempts"].post.requestBody.content["application/json"].schema;
    expect(attempt.properties.clockMhz.anyOf[0]).toMatchObject({
      ...{ type: "number", minimum: 1, maximum: 20_000 },
    });
    expect(attempt.required).toEqual(["workloadId", "outcome"]);
    expect(Object.keys(body.paths)).toEqual(
      expect.arrayContaining(["/api/chips", "/api/compare", "/api/interrupted"]),
    );
  });
});

describe("an address of the interface", () => {
  it("refuses whatever its query says that it does not take, and does nothing", async () => {
    const server = await testServer();
    const { cupboard, chip, heavy } = await smallWorld(server);
    const pass = { workloadId: heavy, clockMhz: 4600, voltageMv: 1200, outcome: "pass", durationS: 900 };
    const { id } = (await server.send("POST", `/api/builds/${cupboard}/attempts`, pass)).body;
    const log = "Time [s],CPU temp [°C]\n0,40\n1,50\n2,60\n3,62\n4,63\n";
    await server.send("POST", `/api/attempts/${id}/trace`, log, { "content-type": "text/csv" });
    const idIn = (path: string) =>
      path.startsWith("/api/attempts") ? id : path.startsWith("/api/chips") ? chip : cupboard;
    const before = await everything(server);
    const addresses = routesOf(server).filter((route) => / \/api\//.test(route) && !route.startsWith("HEAD"));
    expect(addresses.length).toBeGreaterThan(100);
    for (const address of addresses) {
      const [method = "", path = ""] = address.split(" ");
      const url = `${path.replace(":id", idIn(path)).replace(/:\w+/g, "rig")}?certainly=not`;
      const { status, body } = await server.send(method as "GET", url, method === "GET" ? undefined : {});
      expect([address, status, body.error?.fields.certainly]).toEqual([
        ...[address, 400],
        "This field is not known.",
      ]);
    }
    expect(await everything(server)).toEqual(before);
  });

  it("has nothing under an id that is none, however long or however it is spelt", async () => {
    const { send } = await testServer();
    for (const odd of ["x", "a".repeat(201), "a".repeat(5000), "%zz", "%", "%c0%af", "%00"])
      for (const method of ["GET", "PATCH", "DELETE"] as const) {
        const { status, body } = await send(method, `/api/chips/${odd}`, method === "PATCH" ? {} : undefined);
        expect([odd, status, body.error.code]).toEqual([odd, 404, "missing"]);
      }
  });
});
