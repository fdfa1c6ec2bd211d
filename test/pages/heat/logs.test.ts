import { randomBytes } from "node:crypto";
import { readdirSync, rmSync, writeFileSync } from "node:fs";
import path from "node:path";
import { describe, expect, it } from "vitest";
import { uuidV7 } from "../../../server/store/rows/ids.ts";
import { freshJournal, smallWorld, type TestServer, testServer } from "../../support/bench.ts";
import { postForm } from "../../support/forms.ts";
import { madeLog } from "../../support/madeLog.ts";

async function withAttempt(more: object = {}) {
  const server = await testServer();
  const { cupboard, heavy } = await smallWorld(server);
  const attempt = async (over: object = {}) =>
    (
      await server.send("POST", `/api/builds/${cupboard}/attempts`, {
        ...{ workloadId: heavy, clockMhz: 4600, voltageMv: 1200, outcome: "pass", durationS: 1200 },
        ...over,
      })
    ).body.id as string;
  return { server, attempt, id: await attempt(more) };
}

/** Sends a log as the form of the page does. */
const sendLog = (server: TestServer, id: string, file: string | Buffer, text = "") => {
  const head = (words: string) => Buffer.from(`--edge\r\nContent-Disposition: form-data; ${words}\r\n\r\n`);
  const body = Buffer.concat([
    head(`name="file"; filename="${file.length === 0 ? "" : "log.csv"}"`),
    Buffer.from(file),
    Buffer.from("\r\n"),
    head('name="text"'),
    Buffer.from(`${text}\r\n--edge--\r\n`),
  ]);
  return server.send("POST", `/heat/${id}/logs`, body, {
    "content-type": "multipart/form-data; boundary=edge",
  });
};

/** Reads a log that was sent, and waits until it is done. */
async function readLog(server: TestServer, address: string, columns: Readonly<Record<string, string>> = {}) {
  const answer = await postForm(server, `${address}/reading`, columns);
  for (let tries = 0; tries < 100; tries += 1) {
    const page = await server.send("GET", address);
    if (page.status !== 200 || !page.body.includes("Reading the log")) break;
    await new Promise((resolve) => setTimeout(resolve, 100));
  }
  return answer;
}

/** The page of a log after a reading that was refused, at once or while the page was being waited for. */
async function refusedReading(
  server: TestServer,
  address: string,
  columns: Readonly<Record<string, string>> = {},
) {
  await readLog(server, address, columns);
  return server.send("GET", address);
}

const leftBehind = ({ journal }: TestServer) =>
  readdirSync(path.dirname(journal.file)).filter((name) => name.includes(".log-"));

/** Seconds, a temperature and a fan, without a header. */
const madeRows = (count: number) =>
  Array.from({ length: count }, (_, s) => `${s};${(80 - 40 * Math.exp(-s / 90)).toFixed(1)};${1000 + s}`);

describe("a sensor log sent on a page", () => {
  it("is proposed a meaning for each column, and read as proposed", async () => {
    const { server, id } = await withAttempt();
    const sent = await sendLog(server, id, madeLog());
    expect(sent.status).toBe(303);
    const address = String(sent.headers.location);
    const { body } = await server.send("GET", address);
    expect(body).toContain("5 columns: is this what they mean?");
    expect(body).toMatch(/<option value="temperature\|°C" selected>/);
    const read = await readLog(server, address);
    expect([`/heat/${id}`, address]).toContain(read.headers.location);
    expect(server.journal.traces.outline(id)?.rows).toBe(1230);
    expect(server.journal.attempts.find(id)?.loadTempC).toBeCloseTo(80, 0);
    expect(leftBehind(server)).toEqual([]);
  });

  it("takes a corrected column, and remembers it for the next log with that header", async () => {
    const { server, id, attempt } = await withAttempt();
    const address = String((await sendLog(server, id, madeLog())).headers.location);
    await readLog(server, address, { "column-1": "", "column-2": "temperature|°C" });
    expect(server.journal.attempts.find(id)?.loadTempC).toBeCloseTo(40, 0);
    const other = await attempt();
    const again = String((await sendLog(server, other, madeLog())).headers.location);
    expect((await server.send("GET", again)).body).toContain(
      "As it was settled for a log with this header before",
    );
    await readLog(server, again);
    expect(server.journal.attempts.find(other)?.loadTempC).toBeCloseTo(40, 0);
  });

  it("may be pasted instead", async () => {
    const { server, id } = await withAttempt();
    const sent = await sendLog(server, id, "", madeLog(400));
    await readLog(server, String(sent.headers.location));
    expect(server.journal.traces.outline(id)?.rows).toBe(400);
  });

  it("comes back with what is wrong beside the column, and keeps what was chosen", async () => {
    const { server, id } = await withAttempt();
    const address = String((await sendLog(server, id, madeLog())).headers.location);
    const twice = await postForm(server, `${address}/reading`, {
      "column-2": "temperature|°C",
      "column-4": "supply|°C",
    });
    expect(twice.status).toBe(422);
    expect(twice.body).toContain("Another column is the temperature already.");
    expect(twice.body).toMatch(/<option value="supply\|°C" selected>/);
    const timeless = await postForm(server, `${address}/reading`, { "column-0": "" });
    expect(timeless.body).toContain("No column is matched to the time; one of them must be.");
    expect(server.journal.traces.outline(id)).toBeUndefined();
  });

  it("asks how far apart the rows of a counted log lie", async () => {
    const { server, id } = await withAttempt();
    const counted = madeLog(600).replace("Time [s]", "#");
    const address = String((await sendLog(server, id, counted)).headers.location);
    expect((await server.send("GET", address)).body).toContain("From row to row");
    expect((await postForm(server, `${address}/reading`, { everyS: "no" })).body).toContain(
      "Seconds, like 1 or 0.5.",
    );
    await readLog(server, address, { everyS: "0,5" });
    expect(server.journal.traces.outline(id)).toMatchObject({ rows: 600, toS: 299.5 });
  });

  it("is refused in a sentence where it is none, and nothing of it stays", async () => {
    const { server, id } = await withAttempt();
    const bad = [
      "",
      "just words\n",
      "Time [s];CPU temp [°C]\n",
      Buffer.from([0x50, 0x4b, 3, 4, ...new Array(200).fill(0)]),
    ];
    for (const file of bad) {
      const { status, body } = await sendLog(server, id, file);
      expect(status).toBe(422);
      expect(body).toMatch(/<div class="note refused" role="alert">/);
    }
    const few = String((await sendLog(server, id, "Time [s];CPU temp [°C]\n0;35\n")).headers.location);
    const refused = await postForm(server, `${few}/reading`, {});
    expect(refused.status).toBe(422);
    expect(refused.body).toContain("The log has 1 row; at least 2 are needed.");
    expect(server.journal.traces.outline(id)).toBeUndefined();
  });

  it("is asked where its table begins where none is seen, and read from there", async () => {
    const { server, id } = await withAttempt();
    for (const [above, because] of [
      [["run 7", "12 at night"], "The log has no header, and its rows do not agree"],
      [["kept by hand", "most of it anyway"], "No line below what looks like a header has as many cells"],
    ] as const) {
      const sent = await sendLog(server, id, [...above, ...madeRows(40)].join("\n"));
      expect(sent.status).toBe(303);
      const address = String(sent.headers.location);
      const { status, body } = await server.send("GET", address);
      expect([status, body.includes("Where does its table begin?")]).toEqual([200, true]);
      expect(body).toContain(because);
      expect(body).toMatch(/<option value="semicolons" selected>/);
      expect(body).toMatch(/name="headerAt"[^>]*value="0"/);
      const early = await postForm(server, `${address}/reading`, {});
      expect([early.status, early.body.includes("Say first where its table begins.")]).toEqual([422, true]);
      await postForm(server, `${address}/table`, { separator: "semicolons", headerAt: "0" });
      expect((await server.send("GET", address)).body).toContain("3 columns: is this what they mean?");
      await postForm(server, `${address}/cancellation`, {});
    }
    const ragged = Array.from({ length: 60 }, (_, n) => `note ${n}${", and more".repeat(n % 9)}`);
    const table = ["Time [s];CPU temp [°C];Fan [rpm]", ...madeRows(400)];
    const buried = await sendLog(server, id, [...ragged, ...table].join("\n"));
    const page = String(buried.headers.location);
    const shown = (await server.send("GET", page)).body;
    expect(shown).toMatch(/Where does its table begin\?|Its table begins elsewhere/);
    expect(shown).toContain("<code>note 59");
    const wrong = await postForm(server, `${page}/table`, { separator: "tabs", headerAt: "61" });
    expect(wrong.status).toBe(422);
    expect(wrong.body).toContain("Line 61 taken apart at tabs gives one cell; at least two are needed.");
    expect(wrong.body).toMatch(/name="headerAt"[^>]*value="61"/);
    const far = await postForm(server, `${page}/table`, { separator: "semicolons", headerAt: "99999" });
    expect(far.status).toBe(422);
    expect(far.body).toContain("lines are looked at");
    const odder = await postForm(server, `${page}/table`, { separator: "letters", headerAt: "x" });
    expect(odder.body).toContain("Choose one of these.");
    const told = await postForm(server, `${page}/table`, { separator: "semicolons", headerAt: "61" });
    expect(told.headers.location).toBe(page);
    expect((await server.send("GET", page)).body).toContain("3 columns: is this what they mean?");
    await readLog(server, page);
    expect(server.journal.traces.outline(id)).toMatchObject({ rows: 400, toS: 399 });
    expect(Array.from(server.journal.traces.whole(id, ["fan"]).get("fan") ?? []).slice(0, 3)).toEqual([
      1000, 1001, 1002,
    ]);
  });

  it("does not wait where the request that brought it is refused after all", async () => {
    const { server, id } = await withAttempt();
    const part = (words: string, content: string) =>
      `--edge\r\nContent-Disposition: form-data; ${words}\r\n\r\n${content}\r\n`;
    const file = part('name="file"; filename="log.csv"', madeLog(50));
    const tooMany = Array.from({ length: 4 }, (_, at) => part(`name="more${at}"`, "x")).join("");
    const { status } = await server.send(
      "POST",
      `/heat/${id}/logs`,
      Buffer.from(`${file}${tooMany}--edge--\r\n`),
      {
        "content-type": "multipart/form-data; boundary=edge",
      },
    );
    expect(status).toBeGreaterThanOrEqual(400);
    expect(leftBehind(server)).toEqual([]);
  });

  it("is given up without a trace of it", async () => {
    const { server, id } = await withAttempt();
    const address = String((await sendLog(server, id, madeLog())).headers.location);
    expect(leftBehind(server)).toHaveLength(1);
    expect((await postForm(server, `${address}/cancellation`, {})).headers.location).toBe(`/heat/${id}`);
    expect(leftBehind(server)).toEqual([]);
    expect((await server.send("GET", address)).status).toBe(404);
    expect(server.journal.traces.outline(id)).toBeUndefined();
  });

  it("is stopped while it is read, and the journal is as it was", async () => {
    const { server, id } = await withAttempt();
    const large = `Time [s],CPU temp [°C],Note\n${Array.from({ length: 900_000 }, (_, s) => `${s},${40 + (s % 40)},x`).join("\n")}\n`;
    const address = String((await sendLog(server, id, large)).headers.location);
    const reading = postForm(server, `${address}/reading`, {});
    await new Promise((resolve) => setTimeout(resolve, 50));
    const piece = await server.send("GET", address, undefined, { "hx-request": "true" });
    expect(piece.body).toContain("Reading the log");
    expect(piece.body).toMatch(/<progress value="\d+" max="\d{7,}"/);
    await postForm(server, `${address}/cancellation`, {});
    await reading;
    expect(server.journal.traces.outline(id)).toBeUndefined();
    expect(leftBehind(server)).toEqual([]);
  });

  it("waits for the attempt to end, and replaces the log that was here", async () => {
    const { server, id, attempt } = await withAttempt();
    const running = await attempt({ outcome: "running", durationS: null });
    expect((await sendLog(server, running, madeLog(100))).body).toContain("still running");
    for (const rows of [400, 300]) {
      const sent = await sendLog(server, id, madeLog(rows));
      await readLog(server, String(sent.headers.location));
    }
    expect(server.journal.traces.outline(id)?.rows).toBe(300);
  });

  it("is read once, though two pages ask for it, at once and one after the other", async () => {
    const { server, id } = await withAttempt();
    const address = String((await sendLog(server, id, madeLog())).headers.location);
    const both = [readLog(server, address), readLog(server, address)];
    for (const { status } of await Promise.all(both)) expect(status).toBe(303);
    const late = await postForm(server, `${address}/reading`, {});
    expect([late.status, late.headers.location]).toEqual([303, `/heat/${id}`]);
    expect(server.journal.traces.outline(id)?.rows).toBe(1230);
  });

  it("is refused in a sentence where its file is gone, and the server goes on", async () => {
    const { server, id } = await withAttempt();
    const address = String((await sendLog(server, id, madeLog())).headers.location);
    const [name = ""] = leftBehind(server);
    rmSync(path.join(path.dirname(server.journal.file), name));
    expect((await readLog(server, address)).status).toBe(404);
    expect((await server.send("GET", "/api/health")).status).toBe(200);
  });

  it("waits on when another server starts on the same folder, which clears away only what is too old", async () => {
    const { server, id } = await withAttempt();
    const address = String((await sendLog(server, id, madeLog())).headers.location);
    const [name = ""] = leftBehind(server);
    const folder = path.dirname(server.journal.file);
    const old = uuidV7(Date.parse(server.clock.now()) - 31 * 60_000, randomBytes(10));
    writeFileSync(path.join(folder, name.replace(/log-.*csv/, `log-${old}.csv`)), "left by a crash");
    await testServer(freshJournal(server.journal.file));
    expect(leftBehind(server)).toEqual([name]);
    expect((await readLog(server, address)).status).toBe(303);
    expect(server.journal.traces.outline(id)?.rows).toBe(1230);
  });

  it("holds only a few at once", async () => {
    const { server, id } = await withAttempt();
    for (let i = 0; i < 4; i += 1) expect((await sendLog(server, id, madeLog(50 + i))).status).toBe(303);
    expect((await sendLog(server, id, madeLog(60))).body).toContain(
      "4 logs are waiting or being read already",
    );
  });

  it("shows what waits beside the refusal, and throws it away from there", async () => {
    const { server, id } = await withAttempt();
    for (let i = 0; i < 4; i += 1) await sendLog(server, id, madeLog(50 + i));
    const { body } = await sendLog(server, id, madeLog(60));
    const ways = [...body.matchAll(/action="(\/heat\/[^"]+\/cancellation)"/g)].map(
      ([, way]) => way as string,
    );
    expect(ways).toHaveLength(4);
    expect(body).toContain("5 columns");
    await postForm(server, ways[0] as string, {});
    expect((await sendLog(server, id, madeLog(60))).status).toBe(303);
  });

  it("without a header leads to its columns, with what its rows suggest filled in", async () => {
    const { server, id } = await withAttempt();
    const bare = madeLog(400).split("\n").slice(1).join("\n");
    const address = String((await sendLog(server, id, bare)).headers.location);
    const { body } = await server.send("GET", address);
    expect(body).toContain("The log has no header, so its columns are named by hand");
    const columns = {
      "column-0": "time|s",
      "column-1": "temperature|°C",
      "column-2": "",
      "column-4": "ambient|°C",
    };
    await readLog(server, address, columns);
    expect(server.journal.traces.outline(id)?.channels).toContainEqual({
      channel: "temperature",
      unit: "°C",
    });
  });

  it("without a time is read at the rate that is said", async () => {
    const { server, id } = await withAttempt();
    const timeless = madeLog(400)
      .split("\n")
      .map((line) => line.split(";").slice(1).join(";"))
      .join("\n");
    const address = String((await sendLog(server, id, timeless)).headers.location);
    expect((await server.send("GET", address)).body).toContain("how far its rows lie apart");
    await readLog(server, address, { everyS: "2" });
    expect(server.journal.traces.outline(id)).toMatchObject({ rows: 400, toS: 798 });
  });

  it("with dates that may be read two ways asks which, and keeps nothing until that is said", async () => {
    const { server, id } = await withAttempt();
    const dated = madeLog(120).replace(/^(\d+);/gm, (_, s: string) => {
      const clock = new Date(Number(s) * 1000).toISOString().slice(11, 19);
      return `05/04/2031 ${clock};`;
    });
    const address = String((await sendLog(server, id, dated)).headers.location);
    const asked = await refusedReading(server, address);
    expect([asked.status, asked.body.includes("may be 5 April 2031 (dmy) or 4 May 2031 (mdy)")]).toEqual([
      422,
      true,
    ]);
    expect(server.journal.traces.outline(id)).toBeUndefined();
    await readLog(server, address, { "column-0": "time|dmy" });
    expect(server.journal.traces.outline(id)).toMatchObject({ rows: 120, toS: 119 });
  });

  it("whose time scale makes a run of moments is questioned before anything is kept, and read where it is meant", async () => {
    const { server, id } = await withAttempt();
    const address = String((await sendLog(server, id, madeLog(400))).headers.location);
    const asked = await refusedReading(server, address, { "column-0": "time|ms" });
    expect([asked.status, asked.body.includes("more than ten rows a second")]).toEqual([422, true]);
    expect(asked.body).toContain('name="sure"');
    expect(server.journal.traces.outline(id)).toBeUndefined();
    await readLog(server, address, { "column-0": "time|ms", sure: "yes" });
    expect(server.journal.traces.outline(id)).toMatchObject({ rows: 400, toS: 0.399 });
  });
});
