import { describe, expect, it } from "vitest";
import { smallWorld, type TestServer, testServer } from "../support/bench.ts";

/** A run from an idle 35 °C to a level of 80 °C with one time constant of two minutes, a row a second. */
const heatingC = (s: number): number => (s < 30 ? 35 : 80 - 45 * Math.exp(-(s - 30) / 120));
const rows = (count: number) =>
  Array.from(
    { length: count },
    (_, s) => `${s};${heatingC(s).toFixed(1).replace(".", ",")};${s < 30 ? 20 : 110};22,5`,
  );
const log = (count = 1230) =>
  ["Time [s];CPU temp [°C];Package power [W];Room [°C]", ...rows(count), ""].join("\n");

async function withAttempt(server: TestServer, more: object = {}) {
  const { cupboard, heavy } = await smallWorld(server);
  const sent = await server.send("POST", `/api/builds/${cupboard}/attempts`, {
    workloadId: heavy,
    clockMhz: 4600,
    voltageMv: 1200,
    outcome: "pass",
    durationS: 1200,
    ...more,
  });
  return { id: sent.body.id as string, cupboard, heavy };
}

const csv = { "content-type": "text/csv" };

describe("POST /api/attempts/:id/trace", () => {
  it("reads a log by its header, tells what it holds, and fills in what nobody typed", async () => {
    const server = await testServer();
    const { id } = await withAttempt(server);
    const sent = await server.send("POST", `/api/attempts/${id}/trace`, log(), csv);
    expect(sent.status).toBe(201);
    expect(sent.body).toMatchObject({ rows: 1230, from: 0, to: 1229, skipped: [] });
    expect(sent.body.channels.map((one: { channel: string }) => one.channel)).toEqual([
      "temperature",
      "power",
      "ambient",
    ]);
    const attempt = (await server.send("GET", `/api/attempts/${id}`)).body;
    expect(attempt.loadTempC).toBeCloseTo(80, 0);
    expect(attempt).toMatchObject({ ambientC: 22.5, powerW: 110, powerAt: "chip" });
  });

  it("leaves typed figures alone that it does not contradict, and a typed temperature always", async () => {
    const server = await testServer();
    const { id } = await withAttempt(server, { loadTempC: 77, ambientC: 22, powerW: 108.5 });
    await server.send("POST", `/api/attempts/${id}/trace`, log(), csv);
    expect((await server.send("GET", `/api/attempts/${id}`)).body).toMatchObject({
      loadTempC: 77,
      ambientC: 22,
      powerW: 108.5,
    });
  });

  it("takes a file with the meaning of its columns, and remembers it by the header", async () => {
    const server = await testServer();
    const { id, cupboard, heavy } = await withAttempt(server);
    const columns = [
      { column: "Time [s]", channel: "time", unit: "s" },
      { column: "CPU temp [°C]", channel: "die", unit: "°C" },
    ];
    const form = (fields: [string, string][]) =>
      `${fields.map(([head, body]) => `--edge\r\nContent-Disposition: form-data; ${head}\r\n\r\n${body}\r\n`).join("")}--edge--\r\n`;
    const sent = await server.send(
      "POST",
      `/api/attempts/${id}/trace`,
      form([
        ['name="columns"', JSON.stringify(columns)],
        ['name="file"; filename="log.csv"', log()],
      ]),
      { "content-type": "multipart/form-data; boundary=edge" },
    );
    expect(sent.body.channels).toEqual([{ channel: "die", unit: "°C" }]);
    const other = await server.send("POST", `/api/builds/${cupboard}/attempts`, {
      workloadId: heavy,
      clockMhz: 4600,
      voltageMv: 1200,
      outcome: "pass",
      durationS: 1200,
    });
    const again = await server.send("POST", `/api/attempts/${other.body.id}/trace`, log(), csv);
    expect(again.body.channels).toEqual([{ channel: "die", unit: "°C" }]);
  });

  it("refuses what is no log with a sentence and keeps nothing of it", async () => {
    const server = await testServer();
    const { id } = await withAttempt(server);
    const bodies = [
      "",
      "Time [s];CPU temp [°C]\n",
      "just words\n",
      "a;b\n1;2\n2;3\n3;4\n4;5\n",
      Buffer.from([0x50, 0x4b, 3, 4, ...new Array(200).fill(0)]),
      "Time [s];CPU temp [°C]\n0;35\n",
      `Time [s];CPU temp [°C]\n${"9".repeat(2_000_000)};1\n`,
    ];
    for (const body of bodies) {
      const sent = await server.send("POST", `/api/attempts/${id}/trace`, body, csv);
      expect([String(body).slice(0, 20), sent.status, sent.body.error?.code]).toEqual([
        String(body).slice(0, 20),
        400,
        "invalid",
      ]);
      expect(sent.body.error.message).toMatch(/\.$/);
    }
    expect((await server.send("GET", `/api/attempts/${id}/trace?channel=temperature`)).status).toBe(404);
  });

  it("keeps what a crash left of a log, few rows and a torn one", async () => {
    const server = await testServer();
    const { cupboard, heavy } = await smallWorld(server);
    const froze = { workloadId: heavy, clockMhz: 4600, voltageMv: 1200, outcome: "freeze", durationS: 2 };
    const { id } = (await server.send("POST", `/api/builds/${cupboard}/attempts`, froze)).body;
    const left = "Time [s];CPU temp [°C]\n0;41\n1;52\n2;60";
    const { status, body } = await server.send("POST", `/api/attempts/${id}/trace`, `${left}\n3`, csv);
    expect([status, body.rows, body.skipped.map(({ line }: { line: number }) => line)]).toEqual([
      201,
      3,
      [5],
    ]);
    const window = `/api/attempts/${id}/trace?channel=temperature`;
    expect((await server.send("GET", window)).body).toMatchObject({ t: [0, 1, 2], mean: [41, 52, 60] });
    expect((await server.send("GET", `${window}&points=1.5`)).status).toBe(400);
    expect((await server.send("GET", `/api/attempts/${id}/heat`)).body).toMatchObject({
      level: null,
      final: null,
    });
    expect((await server.send("GET", `/heat/${id}`)).status).toBe(200);
  });

  it("keeps a whole last line, and tells of a torn one", async () => {
    const server = await testServer();
    const { id } = await withAttempt(server);
    const whole = await server.send("POST", `/api/attempts/${id}/trace`, log(400).trimEnd(), csv);
    expect(whole.body).toMatchObject({ rows: 400, skipped: [] });
    const torn = await server.send("POST", `/api/attempts/${id}/trace`, `${log(400)}400;7`, csv);
    expect(torn.body.rows).toBe(400);
    expect(torn.body.skipped).toMatchObject([{ line: 402 }]);
  });
});

describe("GET /api/attempts/:id/trace", () => {
  it("reduces a channel to so many columns and keeps every extreme", async () => {
    const server = await testServer();
    const { id } = await withAttempt(server);
    await server.send("POST", `/api/attempts/${id}/trace`, log(), csv);
    const { body } = await server.send("GET", `/api/attempts/${id}/trace?channel=temperature&points=50`);
    expect(body.unit).toBe("°C");
    expect(body.t.length).toBeLessThanOrEqual(50);
    expect([Math.min(...body.min), Math.max(...body.max)]).toEqual([35, 80]);
    const window = await server.send("GET", `/api/attempts/${id}/trace?channel=power&from=10&to=20`);
    expect(window.body.t).toEqual([10, 11, 12, 13, 14, 15, 16, 17, 18, 19, 20]);
    expect((await server.send("GET", `/api/attempts/${id}/trace`)).status).toBe(400);
  });
});

describe("GET /api/attempts/:id/heat", () => {
  it("finds the load, the level, the rise and the resistance", async () => {
    const server = await testServer();
    const { id } = await withAttempt(server);
    await server.send("POST", `/api/attempts/${id}/trace`, log(), csv);
    const { body } = await server.send("GET", `/api/attempts/${id}/heat`);
    expect(Math.abs(body.loadStartS - 30)).toBeLessThanOrEqual(6);
    expect(body.level.meanC).toBeCloseTo(80, 0);
    expect(body.level.windowS).toBe(180);
    expect(body.riseC).toBeCloseTo(57.5, 0);
    expect(body.resistanceCPerW).toBeCloseTo(57.5 / 110, 2);
    expect(Math.abs(body.final.c - 80)).toBeLessThan(1);
    expect(body.timeConstantsS[0]).toBeGreaterThan(90);
    const early = await server.send("GET", `/api/attempts/${id}/heat?fromS=100&toS=160`);
    expect(early.body.level.meanC).toBeLessThan(75);
  });
});

describe("POST /api/attempts/:id/samples", () => {
  it("adds rows to a running attempt once, and takes them as its heartbeat", async () => {
    const server = await testServer();
    const { id } = await withAttempt(server, { outcome: "running", durationS: null });
    const lines = Array.from({ length: 20 }, (_, s) =>
      JSON.stringify({ elapsedS: s, temperatureC: 40 + s, powerW: 100 }),
    );
    const address = `/api/attempts/${id}/samples`;
    const ndjson = { "content-type": "application/x-ndjson" };
    const first = await server.send("POST", address, lines.join("\n"), ndjson);
    expect(first.body).toEqual({ kept: 20, known: 0, skipped: [] });
    const again = await server.send("POST", address, [...lines.slice(10), "{"].join("\n"), ndjson);
    expect(again.body).toMatchObject({ kept: 0, known: 10, skipped: [{ line: 11 }] });
    const rest = await server.send("POST", address, "elapsedS,temperatureC\n20,60\n21,61\n", csv);
    expect(rest.body.kept).toBe(2);
    const { body } = await server.send("GET", `/api/attempts/${id}/trace?channel=temperature`);
    expect(body.mean).toEqual(Array.from({ length: 22 }, (_, s) => 40 + s));
    expect(server.journal.attempts.lastHeartbeat(id, "machine")).toMatchObject({ elapsedS: 21, tempC: 61 });
  });

  it("takes channels by their own names and the tester's, up to 64, at ten a second", async () => {
    const server = await testServer();
    const { id } = await withAttempt(server, { outcome: "running", durationS: null });
    const address = `/api/attempts/${id}/samples`;
    const ndjson = { "content-type": "application/x-ndjson" };
    const own = Object.fromEntries(Array.from({ length: 60 }, (_, at) => [`Core ${at} [mV]`, 900 + at]));
    const lines = Array.from({ length: 600 }, (_, at) =>
      JSON.stringify({ elapsedS: at / 10, temperature: 50, powerW: 90, constructor: 1, ...own }),
    );
    for (let at = 0; at < lines.length; at += 100) {
      const { status, body } = await server.send(
        "POST",
        address,
        lines.slice(at, at + 100).join("\n"),
        ndjson,
      );
      expect([status, body]).toEqual([200, { kept: 100, known: 0, skipped: [] }]);
    }
    const channels = server.journal.traces.outline(id)?.channels ?? [];
    expect(channels).toHaveLength(63);
    expect(channels).toContainEqual({ channel: "Core 59", unit: "mV" });
    expect(channels).toContainEqual({ channel: "temperature", unit: "°C" });
    const read = await server.send("GET", `/api/attempts/${id}/trace?channel=Core%2059&points=10`);
    expect([read.body.unit, read.body.mean[0]]).toEqual(["mV", 959]);
    const more = JSON.stringify({ elapsedS: 90, one: 1, two: 2 });
    expect((await server.send("POST", address, more, ndjson)).status).toBe(409);
    const odd = ["", "time", "x".repeat(81)].map((name) => JSON.stringify({ elapsedS: 91, [name]: 1 }));
    const { body } = await server.send("POST", address, odd.join("\n"), ndjson);
    expect(body.skipped).toHaveLength(3);
  });

  it("answers a repeat with a key as the first time, in whatever order the fields stand", async () => {
    const server = await testServer();
    const { id } = await withAttempt(server, { outcome: "running", durationS: null });
    const send = (line: string) =>
      server.send("POST", `/api/attempts/${id}/samples`, line, {
        ...{ "content-type": "application/x-ndjson", "idempotency-key": "first minute" },
      });
    const first = await send('{"elapsedS":1,"powerW":90,"temperatureC":50}');
    expect(first.body).toEqual({ kept: 1, known: 0, skipped: [] });
    expect((await send('{"temperatureC":50,"powerW":90,"elapsedS":1}')).body).toEqual(first.body);
    expect((await send('{"temperatureC":51,"powerW":90,"elapsedS":1}')).status).toBe(409);
  });

  it("forecasts where a running attempt will level, once there is enough", async () => {
    const server = await testServer();
    const { id } = await withAttempt(server, { outcome: "running", durationS: null });
    const send = (from: number, to: number) =>
      server.send(
        "POST",
        `/api/attempts/${id}/samples`,
        [
          "elapsedS,temperatureC",
          ...Array.from({ length: to - from }, (_, i) => `${from + i},${heatingC(from + i).toFixed(1)}`),
        ].join("\n"),
        csv,
      );
    await send(0, 120);
    expect((await server.send("GET", `/api/attempts/${id}/forecast`)).body.state).toBe("too-early");
    await send(120, 480);
    const { body } = await server.send("GET", `/api/attempts/${id}/forecast`);
    expect(body.course.at(-1).midC).toBeCloseTo(body.finalC, 0);
    expect(body.course.at(-1).highC).toBeLessThanOrEqual(body.highC + 0.01);
    expect(body).toMatchObject({ state: "forecast", crossesLimit: "no" });
    expect(Math.abs(body.finalC - 80)).toBeLessThan(1);
  });
});

describe("a log sent with a key", () => {
  const form = (parts: readonly [string, string][]) =>
    `${parts
      .map(
        ([name, words]) =>
          `--edge\r\nContent-Disposition: form-data; name="${name}"${name === "file" ? '; filename="log.csv"' : ""}\r\n\r\n${words}\r\n`,
      )
      .join("")}--edge--\r\n`;
  const columns = JSON.stringify([
    { column: 1, channel: "time", unit: "s" },
    { column: 2, channel: "supply", unit: "°C" },
  ]);

  it("is read once, answered alike, and refused for another log", async () => {
    const server = await testServer();
    const { id } = await withAttempt(server);
    const send = (body: string) =>
      server.send("POST", `/api/attempts/${id}/trace`, body, { ...csv, "idempotency-key": "run 7" });
    const first = await send(log());
    const kept = server.journal.traces.outline(id);
    server.clock.pass(60);
    const again = await send(log());
    expect([again.status, again.body]).toEqual([first.status, first.body]);
    expect(server.journal.traces.outline(id)).toEqual(kept);
    expect((await send(log().replace("35", "36"))).status).toBe(409);
    expect(server.journal.traces.outline(id)).toEqual(kept);
  });

  it("has its columns before the file or behind it", async () => {
    const server = await testServer();
    const { id } = await withAttempt(server);
    const send = (parts: readonly [string, string][]) =>
      server.send("POST", `/api/attempts/${id}/trace`, form(parts), {
        ...{ "content-type": "multipart/form-data; boundary=edge", "idempotency-key": "run 8" },
      });
    const before = await send([
      ["columns", columns],
      ["file", log()],
    ]);
    expect([before.status, before.body.channels]).toEqual([201, [{ channel: "supply", unit: "°C" }]]);
    const behind = await send([
      ["file", log()],
      ["columns", columns],
    ]);
    expect([behind.status, behind.body]).toEqual([201, before.body]);
  });
});
