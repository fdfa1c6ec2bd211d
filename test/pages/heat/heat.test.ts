import { describe, expect, it } from "vitest";
import { smallWorld, testServer } from "../../support/bench.ts";
import { madeLog } from "../../support/madeLog.ts";

async function withRuns(levels: readonly number[] = [80], seconds = 1230, clocks: readonly number[] = []) {
  const server = await testServer();
  const { cupboard, frame, heavy } = await smallWorld(server);
  const ids: string[] = [];
  for (const [i, levelC] of levels.entries()) {
    const { body } = await server.send("POST", `/api/builds/${i % 2 ? frame : cupboard}/attempts`, {
      ...{ workloadId: heavy, clockMhz: clocks[i] ?? 4600, voltageMv: 1200, outcome: "pass" },
      durationS: seconds - 30,
      startedAt: new Date(Date.parse("2031-05-03T10:00:00Z") + i * 3_600_000).toISOString(),
    });
    await server.send("POST", `/api/attempts/${body.id}/trace`, madeLog(seconds, levelC), {
      "content-type": "text/csv",
    });
    ids.push(body.id);
  }
  return { ...server, ids, id: ids[0] as string };
}

const headingIn = (html: string) => /<h1>(.*?)<\/h1>/.exec(html)?.[1]?.replaceAll("\u00a0", " ");
const chartsIn = (html: string) =>
  JSON.parse(/<script type="application\/json" data-charts="true">(.*?)<\/script>/.exec(html)?.[1] ?? "{}");

describe("GET /heat/:id", () => {
  it("says first where it levelled out, then draws the trace with fit and window, then the figures", async () => {
    const { send, id } = await withRuns();
    const { status, body } = await send("GET", `/heat/${id}`);
    expect(status).toBe(200);
    expect(headingIn(body)).toMatch(
      /^Levelled out at (79\.[6-9]|80\.[0-3]) ± 0\.\d °C, 57\.\d °C over the room$/,
    );
    const { heat } = chartsIn(body);
    expect(heat.x).toMatchObject({ unit: "min", per: 60 });
    expect(body).toMatch(/>15<\/text><text[^>]*>20<\/text>.*time from the first row, min/);
    expect(heat.lines.map(({ label }: { label: string }) => label)).toEqual(["room", "measured", "fitted"]);
    expect(heat.edges.map(({ field }: { field: string }) => field)).toEqual([
      "field-loadStartS",
      "field-fromS",
      "field-toS",
    ]);
    expect(body.replaceAll("\u00a0", " ")).toMatch(/0\.52\d ± 0\.00\d °C per watt/);
    expect(body).toContain("it shifts every reading alike, so it is in none of the intervals here");
    expect(body).toMatch(/<svg viewBox="0 0 790 440" role="img"/);
  });

  it("averages the stretch that is asked for, and shows it in the fields", async () => {
    const { send, id } = await withRuns();
    const { body } = await send("GET", `/heat/${id}?loadStartS=30&fromS=120&toS=180`);
    const level = /<td class="strong"[^>]*>([\d.]+) /.exec(body)?.[1];
    expect(Number(level)).toBeGreaterThan(55);
    expect(Number(level)).toBeLessThan(70);
    expect(body).toMatch(/name="fromS"[^>]*value="120"/);
    expect(chartsIn(body).heat.zones[0]).toMatchObject({ from: 120, to: 180 });
  });

  it("refuses a stretch that is none beside its field, and keeps what was typed", async () => {
    const { send, id } = await withRuns();
    const { status, body } = await send("GET", `/heat/${id}?fromS=soon&toS=90`);
    expect(status).toBe(422);
    expect(body).toMatch(/name="fromS"[^>]*aria-invalid="true"[^>]*value="soon"/);
    expect((await send("GET", `/heat/${id}?fromS=900&toS=90`)).body).toContain(
      "The end lies after the beginning.",
    );
  });

  it("says too early, and not levelled, in place of a level it does not know", async () => {
    const early = await withRuns([80], 150);
    expect(headingIn((await early.send("GET", `/heat/${early.id}`)).body)).toMatch(
      /^Too early to say: 2\.\d min|^Too early to say: 1\d\d s|^Too early/,
    );
    const short = await withRuns([80], 345);
    expect(headingIn((await short.send("GET", `/heat/${short.id}`)).body)).toMatch(/^Not levelled: /);
  });

  it("marks in the chart where something changed, and draws no fit through it", async () => {
    const { send, ids, id } = await withRuns([80]);
    const lines = madeLog(1230).split("\n");
    const stepped = lines.map((line, at) => (at > 600 ? line.replace(";110;", ";90;") : line)).join("\n");
    await send("POST", `/api/attempts/${ids[0]}/trace`, stepped, { "content-type": "text/csv" });
    const { body } = await send("GET", `/heat/${id}`);
    expect(headingIn(body)).toContain("something changed at minute 9");
    const { heat } = chartsIn(body);
    const changed = heat.rules.find(({ label }: { label: string }) => label === "changed");
    expect(Math.abs(changed.at - 600)).toBeLessThan(5);
    expect(heat.lines.map(({ label }: { label: string }) => label)).toEqual(["room", "measured"]);
    const elsewhere = chartsIn((await send("GET", `/heat/${id}?viewFromS=700&viewToS=900`)).body).heat;
    expect(elsewhere.rules).not.toContainEqual(expect.objectContaining({ label: "changed" }));
  });

  it("draws no line across a gap, and tells of it", async () => {
    const { send, ids, id } = await withRuns([80]);
    const lines = madeLog(1230).split("\n");
    const gapped = [...lines.slice(0, 600), ...lines.slice(680)].join("\n");
    await send("POST", `/api/attempts/${ids[0]}/trace`, gapped, { "content-type": "text/csv" });
    const { body } = await send("GET", `/heat/${id}`);
    const [, measured] = chartsIn(body).heat.lines;
    const inGap = measured.x.flatMap((x: number, i: number) =>
      x > 600 && x < 678 ? [measured.mean[i]] : [],
    );
    expect(inGap).toEqual([null]);
    expect(body).toMatch(/A gap of 8[01] s in all without readings/);
  });

  it("passes over a single missing reading without a break, in the still picture too", async () => {
    const { send, ids, id } = await withRuns([80], 700);
    const lines = madeLog(700).split("\n");
    lines[300] = "299;;;;22,5";
    await send("POST", `/api/attempts/${ids[0]}/trace`, lines.join("\n"), { "content-type": "text/csv" });
    const { body } = await send("GET", `/heat/${id}`);
    const [, measured] = chartsIn(body).heat.lines;
    expect(measured.x).not.toContain(299);
    expect(measured.mean).not.toContain(null);
  });

  it("looks at a typed stretch by columns of its own, and keeps its extremes", async () => {
    const { send, ids, id } = await withRuns([80], 5000);
    const lines = madeLog(5000).split("\n");
    lines[2101] = "2100;99,5;40;110;22,5";
    await send("POST", `/api/attempts/${ids[0]}/trace`, lines.join("\n"), { "content-type": "text/csv" });
    const whole = chartsIn((await send("GET", `/heat/${id}`)).body).heat.lines[1];
    const { body } = await send("GET", `/heat/${id}?viewFromS=2000&viewToS=2200`);
    const { heat } = chartsIn(body);
    const [, near, fitted] = heat.lines;
    expect(near.x).toHaveLength(201);
    expect([near.x[0], near.x.at(-1)]).toEqual([2000, 2200]);
    expect(near.mean[100]).toBe(99.5);
    expect(Math.max(...whole.max)).toBe(99.5);
    expect([fitted.x[0], fitted.x.at(-1)]).toEqual([2000, 2200]);
    expect(body).toMatch(/name="viewFromS"[^>]*value="2000"/);
    const backward = await send("GET", `/heat/${id}?viewFromS=900&viewToS=100`);
    expect(backward.status).toBe(422);
    expect(backward.body).toMatch(/name="viewToS"[^>]*aria-invalid="true"/);
  });

  it("does not wait for a long trace: shows the chart, and has the rest as pieces once it is read", async () => {
    const { send, id } = await withRuns([80], 9000);
    const heating = async (url: string) => headingIn((await send("GET", url)).body);
    const first = (await send("GET", `/heat/${id}?fromS=600&toS=900`)).body;
    expect(chartsIn(first).heat.lines[1].x.length).toBeGreaterThan(500);
    if (headingIn(first) === "This long trace is being read")
      expect(first).toContain(`data-later="/heat/${id}/reading?fromS=600&amp;toS=900"`);
    const { body: answer } = await send("GET", `/api/attempts/${id}/heat?fromS=600&toS=900`);
    expect(answer.level.meanC).toBeGreaterThan(78);
    expect(await heating(`/heat/${id}?fromS=600&toS=900`)).toMatch(
      /^Levelled out at 80\.\d|^Levelled out at 79\.\d/,
    );
    const pieces = await send("GET", `/heat/${id}/reading?fromS=600&toS=900`);
    expect(pieces.status).toBe(200);
    for (const piece of ["heat-answer", "heat-chart", "heat-look", "heat-numbers"])
      expect(pieces.body).toContain(`id="${piece}"`);
    expect(headingIn(pieces.body)).toMatch(/^Levelled out at /);
    await expect.poll(async () => (await send("GET", "/heat/overlay")).status, { timeout: 30_000 }).toBe(200);
  });

  it("asks for a log where the attempt has none, and is not there for what is no attempt", async () => {
    const { send, cupboard, heavy } = await (async () => {
      const server = await testServer();
      return { ...server, ...(await smallWorld(server)) };
    })();
    const { body } = await send("POST", `/api/builds/${cupboard}/attempts`, {
      ...{ workloadId: heavy, clockMhz: 4600, voltageMv: 1200, outcome: "pass", durationS: 600 },
    });
    const page = await send("GET", `/heat/${body.id}`);
    expect(headingIn(page.body)).toBe("No sensor log belongs to this attempt yet");
    expect(page.body).toContain('enctype="multipart/form-data"');
    expect(page.body).toContain("At most 1 GiB");
    expect((await send("GET", "/heat/nothing")).status).toBe(404);
  });
});

describe("GET /heat", () => {
  it("lays the newest run of each build over one another, aligned at the load start", async () => {
    const { send, ids } = await withRuns([80, 70, 76]);
    const { body } = await send("GET", "/heat");
    expect(headingIn(body)).toMatch(/^2 runs, 47\.\d to 53\.\d °C over the room under load$/);
    const { overlay } = chartsIn(body);
    expect(overlay.lines.map(({ label }: { label: string }) => label)).toEqual(["Cupboard", "Open frame"]);
    for (const line of overlay.lines) {
      const atStart = line.x.findIndex((x: number) => x >= 0);
      expect(line.x[0]).toBeLessThan(-20);
      expect(line.mean[atStart]).toBeLessThan(20);
    }
    for (const id of ids) expect(body).toContain(`/heat/${id}`);
  });

  it("takes like with like of its own accord, though other runs are newer, and leads to the other settings", async () => {
    const { send, ids } = await withRuns([80, 70, 82, 84, 76, 74], 400, [4600, 4600, 4650, 4700, 4500, 4500]);
    const { body } = await send("GET", "/heat");
    const text = body.replaceAll("\u00a0", " ");
    expect(text).toContain("The newest run of each build that ran 4500 MHz at 1.200 V under Stacking.");
    expect(chartsIn(body).overlay.lines).toHaveLength(2);
    expect(text).not.toContain("Unlike is laid over unlike");
    expect(body).toContain(`/heat?runs=${ids[1]}%2C${ids[0]}&amp;as=rise`);
  });

  it("says so where unlike is laid over unlike, and names each line by its clock", async () => {
    const { send, ids } = await withRuns([80, 70], 400, [4600, 4650]);
    const { body } = await send("GET", `/heat?runs=${ids[0]},${ids[1]}`);
    expect(body).toContain("Unlike is laid over unlike: the settings differ");
    expect(chartsIn(body).overlay.lines.map(({ label }: { label: string }) => label)).toEqual([
      "Cupboard, 4600",
      "Open frame, 4650",
    ]);
    const alone = (await send("GET", "/heat?as=temperature")).body;
    expect(alone).toContain("no two builds have run at one setting under one load yet");
    expect(alone).not.toContain("Unlike is laid over unlike");
  });

  it("draws the runs that are asked for, as temperature where that is asked", async () => {
    const { send, ids } = await withRuns([80, 70, 76]);
    const { body } = await send("GET", `/heat?runs=${ids[0]},${ids[2]}&as=temperature`);
    expect(headingIn(body)).toMatch(/^2 runs, 7[56]\.\d to (79|80)\.\d °C under load$/);
    expect(chartsIn(body).overlay.y).toMatchObject({ label: "temperature" });
    const ticked = await send("GET", `/heat?runs=${ids[0]}&runs=${ids[1]}`);
    expect(chartsIn(ticked.body).overlay.lines).toHaveLength(2);
  });

  it("says how many can be drawn at once, and knows no run that is none", async () => {
    const { send, ids } = await withRuns([80, 70, 76, 72, 74, 78, 71], 320);
    const { status, body } = await send("GET", `/heat?runs=${ids.join(",")}`);
    expect(status).toBe(422);
    expect(body).toContain("At most 6 runs are drawn at once; the first 6 are.");
    expect((await send("GET", "/heat?runs=nothing")).status).toBe(404);
  });

  it("lists the newest runs, and brings older ones as rows alone where a swap asks for them", async () => {
    const { send, journal, id } = await withRuns([80], 700);
    const again = journal.attempts.find(id) as { buildId: string; workloadId: string };
    for (let i = 1; i <= 13; i++) {
      const { body } = await send("POST", `/api/builds/${again.buildId}/attempts`, {
        ...{ workloadId: again.workloadId, clockMhz: 4600, voltageMv: 1200, outcome: "pass", durationS: 60 },
        startedAt: new Date(Date.parse("2031-05-02T10:00:00Z") + i * 3_600_000).toISOString(),
      });
      const log = await send("POST", `/api/attempts/${body.id}/trace`, madeLog(90), {
        "content-type": "text/csv",
      });
      expect(log.status, JSON.stringify(log.body)).toBe(201);
    }
    const rowsIn = (html: string) => [...html.matchAll(/name="runs"/g)].length;
    const { body } = await send("GET", "/heat");
    expect(rowsIn(body)).toBe(12);
    const older = /hx-get="([^"#]+)#runs"/.exec(body)?.[1]?.replaceAll("&amp;", "&") ?? "";
    const rows = await send("GET", older, undefined, { "hx-request": "true" });
    expect(rows.body).toMatch(/^<tr/);
    expect(rowsIn(rows.body)).toBe(2);
    expect((await send("GET", older)).body).toMatch(/^<!doctype html>/i);
  });

  it("says where a first log comes from", async () => {
    const { send } = await testServer();
    expect(headingIn((await send("GET", "/heat")).body)).toBe("No attempt has a sensor log yet");
  });
});
