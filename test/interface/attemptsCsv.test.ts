import { describe, expect, it } from "vitest";
import { smallWorld, type TestServer, testServer } from "../support/bench.ts";

const csv = { "content-type": "text/csv" };

describe("what one request may hold", () => {
  it("takes a file of attempts and lines of samples of more than a mebibyte", async () => {
    const server = await testServer();
    const { cupboard, heavy } = await smallWorld(server);
    const note = "n".repeat(1000);
    const lines = Array.from({ length: 1300 }, () => `Stacking;4600;1200;pass;900;${note}`);
    const text = ["workload;clockMhz;voltageMv;outcome;durationS;note", ...lines].join("\n");
    const address = `/api/builds/${cupboard}/attempts`;
    expect((await server.send("POST", `${address}.csv`, text, csv)).status).toBe(201);
    const run = { workloadId: heavy, clockMhz: 4600, voltageMv: 1200, outcome: "running" };
    const { id } = (await server.send("POST", address, run)).body;
    const samples = Array.from(
      { length: 3000 },
      (_, s) => `{"elapsedS":${s},"${"c".repeat(80)}":${s}${" ".repeat(300)}}`,
    );
    const type = { "content-type": "application/x-ndjson" };
    const sent = await server.send("POST", `/api/attempts/${id}/samples`, samples.join("\n"), type);
    expect([sent.status, sent.body]).toEqual([200, expect.anything()]);
  });
});

async function attemptsOf({ send }: TestServer, build: string): Promise<Record<string, unknown>[]> {
  const { items } = (await send("GET", `/api/builds/${build}/attempts?limit=500`)).body;
  return (items as Record<string, unknown>[]).map(
    ({ createdAt: _c, updatedAt: _u, version: _v, mountId: _m, buildId: _b, setAside, ...rest }) => ({
      ...rest,
      setAside: (setAside as { reason: string } | null)?.reason,
    }),
  );
}

async function filledBuild(server: TestServer) {
  const world = await smallWorld(server);
  const address = `/api/builds/${world.cupboard}/attempts`;
  const sent = [
    {
      clockMhz: 4625.5,
      voltageMv: 1187.5,
      outcome: "pass",
      durationS: 900,
      loadTempC: 83.25,
      tags: ["a", "b;c"],
    },
    { clockMhz: 4650, voltageMv: 1187.5, outcome: "freeze", durationS: 61.5, failedFromS: 30, failedToS: 61 },
    {
      clockMhz: 4700,
      voltageMv: 1360,
      outcome: "no-start",
      durationS: 0,
      aboveCeiling: true,
      note: '=HYPERLINK("x"),\n"quoted"',
      alsoSet: [{ name: "fabric clock", value: 2000, harder: "up" }],
      throttled: false,
      startKind: "cold",
    },
  ];
  for (const one of sent) {
    const reply = await server.send("POST", address, { workloadId: world.heavy, ...one });
    expect(reply.status).toBe(201);
    server.clock.pass(1000);
  }
  const { items } = (await server.send("GET", address)).body;
  await server.send("PUT", `/api/attempts/${items[0].id}/set-aside`, { reason: "loose cable" });
  return { ...world, address };
}

describe("GET /api/builds/:id/attempts.csv", () => {
  it("gives every attempt as RFC 4180 with nothing a spreadsheet would run", async () => {
    const server = await testServer();
    const { cupboard } = await filledBuild(server);
    const { status, body, headers } = await server.send("GET", `/api/builds/${cupboard}/attempts.csv`);
    expect(status).toBe(200);
    expect(headers["content-type"]).toContain("text/csv");
    expect(headers["content-disposition"]).toBe('attachment; filename="attempts-Cupboard.csv"');
    expect(body.split("\r\n")).toHaveLength(5);
    expect(body).toContain(`,"'=HYPERLINK(""x""),\n""quoted""",`);
  });

  it("reads back into another journal as the same attempts", async () => {
    const server = await testServer();
    const { cupboard } = await filledBuild(server);
    const { body } = await server.send("GET", `/api/builds/${cupboard}/attempts.csv`);
    const other = await testServer();
    other.clock.pass(86_400);
    const world = await smallWorld(other);
    const taken = await other.send("POST", `/api/builds/${world.cupboard}/attempts.csv`, body, csv);
    expect([taken.status, taken.body]).toEqual([201, { added: 3, already: 0, refused: 0 }]);
    const plain = (attempts: object[]) => attempts.map((one) => ({ ...one, workloadId: null }));
    expect(plain(await attemptsOf(other, world.cupboard))).toEqual(plain(await attemptsOf(server, cupboard)));
    const again = await other.send("POST", `/api/builds/${world.cupboard}/attempts.csv`, body, csv);
    expect(again.body).toEqual({ added: 0, already: 3, refused: 0 });
  });

  it("answers 404 for a build that is not there", async () => {
    const { send } = await testServer();
    expect((await send("GET", "/api/builds/0197f000-0000-7000-8000-00000000dead/attempts.csv")).status).toBe(
      404,
    );
  });
});

describe("POST /api/builds/:id/attempts.csv", () => {
  it("takes nothing where one line is bad, and says which", async () => {
    const server = await testServer();
    const { cupboard } = await smallWorld(server);
    const text =
      "clock GHz,voltage V,outcome,duration min,load\n4.6,1.2,ok,15,Stacking\n4.7,1.2,well,15,Stacking\n4.7,1.4,ok,15,Stacking\n";
    const refused = await server.send("POST", `/api/builds/${cupboard}/attempts.csv`, text, csv);
    expect(refused.status).toBe(400);
    expect(refused.body.error.fields).toEqual({
      "line 3": 'Outcome: say what "well" means.',
      "line 4": "1.4 V lies above the ceiling of 1.35 V set for this chip; confirm that it is meant.",
    });
    expect(await attemptsOf(server, cupboard)).toEqual([]);
  });

  it("knows lines it has taken before, equal lines apart, also without a date", async () => {
    const server = await testServer();
    const { cupboard } = await smallWorld(server);
    const line = "4600,1200,pass,900,Stacking";
    const text = (lines: number) =>
      `clockMhz,voltageMv,outcome,durationS,workload\n${`${line}\n`.repeat(lines)}`;
    const send = async (lines: number) =>
      (await server.send("POST", `/api/builds/${cupboard}/attempts.csv`, text(lines), csv)).body;
    expect(await send(2)).toEqual({ added: 2, already: 0, refused: 0 });
    server.clock.pass(3600);
    expect(await send(3)).toEqual({ added: 1, already: 2, refused: 0 });
    expect(await attemptsOf(server, cupboard)).toHaveLength(3);
  });

  it("leaves an edited attempt as it was edited, and brings a deleted one back", async () => {
    const server = await testServer();
    const { cupboard } = await smallWorld(server);
    const text =
      "clockMhz,voltageMv,outcome,durationS,workload\n4600,1200,pass,900,Stacking\n4625,1200,pass,900,Stacking\n";
    const address = `/api/builds/${cupboard}/attempts.csv`;
    await server.send("POST", address, text, csv);
    const [first, second] = await attemptsOf(server, cupboard);
    await server.send("PATCH", `/api/attempts/${first?.id}`, { note: "looked again" });
    await server.send("DELETE", `/api/attempts/${second?.id}`);
    expect((await server.send("POST", address, text, csv)).body).toEqual({
      added: 1,
      already: 1,
      refused: 0,
    });
    const after = await attemptsOf(server, cupboard);
    expect(after.map(({ note }) => note).sort()).toEqual(["", "looked again"]);
  });

  it("asks for text/csv", async () => {
    const server = await testServer();
    const { cupboard } = await smallWorld(server);
    expect((await server.send("POST", `/api/builds/${cupboard}/attempts.csv`, { a: 1 })).status).toBe(400);
  });
});
