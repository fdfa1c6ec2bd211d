import { describe, expect, it } from "vitest";
import { smallWorld, type TestServer, testServer } from "../support/bench.ts";
import { madePng } from "../support/madePictures.ts";
import { routesOf } from "../support/routes.ts";

type Sample = Readonly<{ ids?: string; body: unknown; other?: unknown; type?: string }>;

const attempt = { clockMhz: 4600, voltageMv: 1200, outcome: "pass", durationS: 900 };
const log = "Time [s],CPU temp [°C]\n0,40\n1,50\n2,60\n3,62\n4,63\n";

/** What each address that takes a key is sent, and something else that it might have been sent. */
async function samplesIn(server: TestServer): Promise<Readonly<Record<string, Sample>>> {
  const { chip, small, heavy, cupboard, frame } = await smallWorld(server);
  const made = async (url: string, body: object) => (await server.send("POST", url, body)).body.id as string;
  const ended = await made(`/api/builds/${cupboard}/attempts`, { ...attempt, workloadId: heavy });
  const running = await made(`/api/builds/${frame}/attempts`, {
    ...{ ...attempt, workloadId: heavy, outcome: "running", durationS: undefined },
  });
  const mount = await made(`/api/builds/${cupboard}/mounts`, { mountedAt: "2031-05-01T08:00:00Z" });
  const noise = await made(`/api/builds/${cupboard}/noise`, { distanceM: 1, levelsDba: [40] });
  const version = await made(`/api/builds/${cupboard}/versions`, { of: "driver", name: "31" });
  const rule = await made("/api/rules", { name: "Hour", requires: [{ anyWorkload: true, durationS: 3600 }] });
  const picture = (
    await server.send("POST", `/api/builds/${cupboard}/pictures`, madePng(), { "content-type": "image/png" })
  ).body.id as string;
  const exported = (await server.send("GET", "/api/export")).body;
  const note = { body: { note: "edited" }, other: { note: "otherwise" } };
  const image = { body: madePng(), other: madePng({ noted: true }), type: "image/png" };
  return {
    "POST /api/chips": { body: { name: "Wren", kind: "cpu", tempLimitC: 90 } },
    "POST /api/boards": { body: { name: "Mole" } },
    "POST /api/workloads": { body: { name: "Sums", kind: "all-core" } },
    "POST /api/rules": {
      body: { name: "Day", requires: [{ anyWorkload: true, durationS: 86_400 }] },
      other: { name: "Other", requires: [{ anyWorkload: true, durationS: 9 }] },
    },
    "POST /api/builds": { body: { name: "Loft", chipId: chip, boardId: small } },
    "POST /api/builds/:id/mounts": { ids: cupboard, body: { mountedAt: "2031-05-02T08:00:00Z" } },
    "POST /api/builds/:id/versions": { ids: cupboard, body: { of: "firmware", name: "1.08" } },
    "PATCH /api/versions/:id": { ids: version, ...note },
    "POST /api/attempts/corrections": {
      body: { ids: [ended], field: "powerAt", value: "chip" },
      other: { ids: [ended], field: "powerAt", value: "wall" },
    },
    "POST /api/attempts/corrections/undoing": {
      body: { at: "2031-05-04T13:42:00.000Z" },
      other: { at: "2031-05-04T13:00:00.000Z" },
    },
    "POST /api/builds/:id/noise": { ids: cupboard, body: { distanceM: 0.5, levelsDba: [41] } },
    "POST /api/builds/:id/attempts": {
      ids: cupboard,
      body: { ...attempt, workloadId: heavy, note: "again" },
    },
    "POST /api/builds/:id/attempts.csv": {
      ...{ ids: cupboard, type: "text/csv" },
      body: "workload,clockMhz,voltageMv,outcome,durationS\nStacking,4500,1200,pass,900\n",
      other: "workload,clockMhz,voltageMv,outcome,durationS\nStacking,4525,1200,pass,900\n",
    },
    "POST /api/attempts/:id/heartbeats": {
      ...{ ids: running, body: { elapsedS: 60 }, other: { elapsedS: 61 } },
    },
    "POST /api/attempts/:id/samples": {
      ...{ ids: running, type: "application/x-ndjson" },
      ...{ body: '{"elapsedS":1,"temperatureC":60}\n', other: '{"elapsedS":2,"temperatureC":60}\n' },
    },
    "POST /api/attempts/:id/trace": { ids: ended, type: "text/csv", body: log, other: `${log}5,70\n` },
    "POST /api/builds/:id/pictures": { ids: cupboard, ...image },
    "POST /api/mounts/:id/pictures": { ids: mount, ...image },
    "POST /api/attempts/:id/pictures": { ids: ended, ...image },
    "POST /api/backups": { body: undefined, other: { a: 1 } },
    "POST /api/import": { body: { ...exported, boards: [] }, other: exported },
    "PATCH /api/chips/:id": { ids: chip, ...note },
    "PATCH /api/boards/:id": { ids: small, ...note },
    "PATCH /api/workloads/:id": { ids: heavy, ...note },
    "PATCH /api/rules/:id": { ids: rule, body: { name: "An hour" }, other: { name: "Other" } },
    "PATCH /api/builds/:id": { ids: cupboard, ...note },
    "PATCH /api/mounts/:id": { ids: mount, ...note },
    "PATCH /api/noise/:id": { ids: noise, ...note },
    "PATCH /api/attempts/:id": { ids: ended, ...note },
    "PATCH /api/pictures/:id": { ids: picture, body: { caption: "front" }, other: { caption: "back" } },
  };
}

/** All that was written down, but for what is kept to be shown again. */
const rowsIn = ({ journal }: TestServer): unknown =>
  ["attempts", "attempt_edits", "heartbeats", "chips", "boards", "workloads", "rules", "builds", "mounts"]
    .concat(["noise_readings", "pictures", "trace_chunks", "answered_posts"])
    .map((table) => journal.db.$client.prepare(`SELECT * FROM ${table}`).raw().all());

/** The same fields in another order, also within fields. */
const turned = (body: unknown): unknown =>
  body === null || typeof body !== "object" || Buffer.isBuffer(body)
    ? body
    : Array.isArray(body)
      ? body.map(turned)
      : Object.fromEntries(
          Object.entries(body)
            .reverse()
            .map(([name, value]) => [name, turned(value)]),
        );

describe("a key", () => {
  it("makes a repeat answer as the first did and do nothing, at every address that adds or edits", async () => {
    const server = await testServer();
    const samples = await samplesIn(server);
    const routes = routesOf(server).filter((route) => /^(POST|PATCH) \/api\//.test(route));
    expect(Object.keys(samples).sort()).toEqual(routes.sort());
    for (const [nth, [route, sample]] of Object.entries(samples).entries()) {
      const { ids = "", body, other, type = "application/json" } = sample;
      const [method, path = ""] = route.split(" ") as ["POST" | "PATCH", string];
      const url = path.replace(":id", ids);
      const headers = {
        "idempotency-key": `key ${nth}`,
        ...(body === undefined ? {} : { "content-type": type }),
      };
      const first = await server.send(method, url, body, headers);
      expect([route, first.status, first.body]).toEqual([
        route,
        expect.toBeOneOf([200, 201, 204]),
        first.body,
      ]);
      const after = rowsIn(server);
      const repeat = await server.send(method, url, turned(body), headers);
      expect([route, repeat.status, repeat.body, repeat.headers.etag]).toEqual([
        ...[route, first.status, first.body, first.headers.etag],
      ]);
      const otherwise = await server.send(method, url, other ?? { ...(body as object), note: "otherwise" }, {
        ...headers,
        "content-type": type,
      });
      expect([route, otherwise.status, otherwise.body.error?.code]).toEqual([route, 409, "conflict"]);
      expect([route, rowsIn(server)]).toEqual([route, after]);
    }
  });

  it("refuses in a sentence what is nested too deeply to be told from anything else", async () => {
    const server = await testServer();
    const { cupboard } = await smallWorld(server);
    const headers = { "idempotency-key": "deep", "content-type": "application/json" };
    const reading = { distanceM: 1, levelsDba: [40] };
    const { id } = (await server.send("POST", `/api/builds/${cupboard}/noise`, reading)).body;
    const deep = `${'{"a":'.repeat(20_000)}1${"}".repeat(20_000)}`;
    const { status, body } = await server.send("PUT", `/api/noise/${id}/undoing`, deep, headers);
    expect([status, body.error.message]).toEqual([400, "This is nested too deeply to be read."]);
  });
});
