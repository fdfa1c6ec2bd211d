import { setTimeout as pause } from "node:timers/promises";
import { describe, expect, it } from "vitest";
import { seededRandom } from "../../server/numerics/seededRandom.ts";
import { smallWorld, type TestServer, testServer } from "../support/bench.ts";
import { fillInBulk } from "../support/bulkRecord.ts";
import { withThreads } from "../support/threads.ts";

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

  it("gives every one of more attempts than are read at once, oldest first", async () => {
    const { send, journal } = await testServer();
    fillInBulk(journal, { builds: 1, attempts: 1000, seed: 5 });
    const [build] = journal.builds.all();
    const { body } = await send("GET", `/api/builds/${build?.id}/attempts.csv`);
    const ids = body
      .split("\r\n")
      .slice(1, -1)
      .map((line: string) => line.slice(0, 36));
    expect(ids).toEqual(journal.attempts.allOf(build?.id ?? "").map(({ id }) => id));
    expect(ids).toHaveLength(1000);
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

  it("writes the units of its chip into the headings, and reads such headings and those without back", async () => {
    const made = async (server: TestServer, chip: object) => {
      const { small, heavy } = await smallWorld(server);
      const { body } = await server.send("POST", "/api/chips", { tempLimitC: 95, ...chip });
      const sent = { name: "Card", chipId: body.id, boardId: small };
      const build = (await server.send("POST", "/api/builds", sent)).body.id as string;
      return { heavy, address: `/api/builds/${build}/attempts`, build };
    };
    const card = {
      ...{ name: "Dunlin", kind: "gpu", axis: "offset", parts: [{ name: "core" }, { name: "memory" }] },
      offset: { name: "Offset", unit: "MHz", step: 15, harder: "up" },
    };
    const set = { name: "Set", kind: "memory", clockUnit: "MT/s" };
    const ran = { outcome: "pass", durationS: 900, temps: { hotspot: 84.5 } };
    for (const [chip, attempt, headings] of [
      [
        card,
        { offsets: { core: 120, memory: 450 }, part: "core", clockMhz: 2610, voltageMv: 1050 },
        ["offset [MHz]", "offsets [MHz]", "temps [°C]", "clockMhz"],
      ],
      [set, { clockMhz: 6400, voltageMv: 1350 }, ["clockMhz [MT/s]", "effectiveClockMhz [MT/s]", "offset"]],
    ] as const) {
      const server = await testServer();
      const { heavy, address, build } = await made(server, chip);
      const kept = await server.send("POST", address, { workloadId: heavy, ...ran, ...attempt });
      expect(kept.status, JSON.stringify(kept.body)).toBe(201);
      const { body } = await server.send("GET", `${address}.csv`);
      const [header = ""] = (body as string).split("\r\n");
      expect(header.split(",")).toEqual(expect.arrayContaining([...headings]));
      for (const text of [body, (body as string).replace(header, header.replaceAll(/ \[[^\]]*\]/g, ""))]) {
        const other = await testServer();
        other.clock.pass(86_400);
        const there = await made(other, chip);
        const taken = await other.send("POST", `${there.address}.csv`, text, csv);
        expect([taken.status, taken.body]).toEqual([201, { added: 1, already: 0, refused: 0 }]);
        const plain = (attempts: object[]) => attempts.map((one) => ({ ...one, workloadId: null }));
        expect(plain(await attemptsOf(other, there.build))).toEqual(plain(await attemptsOf(server, build)));
      }
    }
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

const head = "workload;clockMhz;voltageMv;outcome;durationS";
const linesOf = (count: number): string =>
  [head, ...Array.from({ length: count }, (_, n) => `Stacking;${4000 + n / 8};1200;pass;${600 + n}`)].join(
    "\n",
  );

describe("a file of attempts that is taken in", () => {
  it("holds nobody up who reads meanwhile", async () => {
    const server = await testServer();
    const { cupboard } = await smallWorld(server);
    let [longest, last] = [0, performance.now()];
    const begun = last;
    const ticks = setInterval(() => {
      longest = Math.max(longest, performance.now() - last);
      last = performance.now();
    }, 1);
    const taken = await server.send("POST", `/api/builds/${cupboard}/attempts.csv`, linesOf(6000), csv);
    const whole = performance.now() - begun;
    longest = Math.max(longest, performance.now() - last);
    clearInterval(ticks);
    expect([taken.status, taken.body.added]).toEqual([201, 6000]);
    expect(longest).toBeLessThan(whole / 2);
  });

  it("is there whole or not at all though its thread is killed at any moment, and whoever sent it is told", async () => {
    const random = seededRandom(5);
    const ends = new Set<number>();
    await withThreads(async (threads) => {
      for (let round = 0; round < 8; round += 1) {
        const server = await testServer();
        const { cupboard } = await smallWorld(server);
        const answer = server.send("POST", `/api/builds/${cupboard}/attempts.csv`, linesOf(600), csv);
        await pause(20 + 600 * random.uniform());
        await threads.at(-1)?.terminate();
        const { status, body } = await answer;
        const held = server.journal.attempts.count();
        expect([0, 600]).toContain(held);
        if (status === 201) expect([body.added, held]).toEqual([600, 600]);
        else expect([status, body.error.message]).toEqual([409, expect.stringContaining("import it again")]);
        expect((await server.send("POST", "/api/boards", { name: "Mole" })).status).toBe(201);
        ends.add(status);
      }
    });
    expect(ends).toContain(409);
  });
});

describe("a journal that is open to read only", () => {
  it("takes in no file, document or log by way of a thread either", async () => {
    const server = await testServer();
    const { cupboard, heavy } = await smallWorld(server);
    const run = { workloadId: heavy, clockMhz: 4600, voltageMv: 1200, outcome: "pass", durationS: 60 };
    const { id } = (await server.send("POST", `/api/builds/${cupboard}/attempts`, run)).body;
    const document = JSON.stringify({ ...(await server.send("GET", "/api/export")).body, attempts: [] });
    const before = server.journal.committedElsewhere();
    server.journal.stop({ because: "log-gone", words: "The log is gone." });
    const log = "time;die\n0;40\n1;41\n2;42\n";
    for (const [url, body, type] of [
      [`/api/builds/${cupboard}/attempts.csv`, linesOf(3), "text/csv"],
      ["/api/import", document, "application/json"],
      [`/api/attempts/${id}/trace`, log, "text/csv"],
    ] as const) {
      const { status, body: said } = await server.send("POST", url, body, { "content-type": type });
      expect([url, status, said.error?.message]).toEqual([url, 503, "The log is gone."]);
    }
    expect(server.journal.committedElsewhere()).toBe(before);
  });
});
