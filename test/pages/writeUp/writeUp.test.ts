import { describe, expect, it } from "vitest";
import { smallWorld, type TestServer, testServer } from "../../support/bench.ts";
import { filesIn } from "../../support/filesInArchive.ts";
import { postForm } from "../../support/forms.ts";
import { madeLog } from "../../support/madeLog.ts";
import { madeJpeg } from "../../support/madePictures.ts";

const passes = [
  [4500, 1150],
  [4600, 1200],
  [4700, 1250],
] as const;

/** Two builds of one chip with a few passes and crashes, read at one setting on both. */
async function comparedWorld(server: TestServer) {
  const world = await smallWorld(server);
  const add = (build: string, over: object) =>
    server.send("POST", `/api/builds/${build}/attempts`, {
      workloadId: world.heavy,
      clockMhz: 4600,
      voltageMv: 1200,
      outcome: "pass",
      durationS: 1800,
      ambientC: 22,
      ...over,
    });
  for (const [build, up, loadTempC] of [
    [world.cupboard, 0, 84],
    [world.frame, 50, 78],
  ] as const) {
    for (const [clockMhz, voltageMv] of passes) {
      await add(build, { clockMhz: clockMhz + up, voltageMv, loadTempC });
      await add(build, { clockMhz: clockMhz + up + 50, voltageMv, outcome: "freeze", durationS: 200 });
    }
    await add(build, { clockMhz: 4450, loadTempC: loadTempC - 2 });
  }
  await add(world.cupboard, { clockMhz: 4550, outcome: "freeze", durationS: 60 });
  return world;
}

const textOf = (html: string): string => html.replace(/<[^>]*>/g, " ").replace(/\s+/g, " ");

describe("GET /write-up", () => {
  it("asks which builds and for what use before it tells anything", async () => {
    const server = await testServer();
    expect((await server.send("GET", "/write-up")).body).toContain("no build to tell of yet");
    const { cupboard, frame } = await smallWorld(server);
    const { status, body } = await server.send("GET", "/write-up");
    expect(status).toBe(200);
    expect(body.match(/<h1/g)).toHaveLength(1);
    expect(body).toContain(`value="${cupboard}"`);
    expect(body).toContain(`value="${frame}"`);
  });

  it("keeps to one address, whichever way the form was sent", async () => {
    const server = await testServer();
    const { cupboard, frame } = await smallWorld(server);
    const { status, headers } = await server.send(
      "GET",
      `/write-up?builds=${cupboard}&builds=${frame}&against=${frame}&use=quiet`,
    );
    expect(status).toBe(303);
    expect(decodeURIComponent(String(headers.location))).toBe(
      `/write-up?builds=${frame},${cupboard}&use=quiet`,
    );
  });

  it("refuses no build, too many, an unknown use and an unknown build, in words", async () => {
    const server = await testServer();
    const { cupboard } = await smallWorld(server);
    const none = await server.send("GET", "/write-up?use=daily");
    expect([none.status, none.body]).toEqual([422, expect.stringContaining("No build is chosen.")]);
    const many = Array.from({ length: 7 }, (_, i) => `019479f0-0000-7000-8000-00000000000${i}`);
    const tooMany = await server.send("GET", `/write-up?builds=${many.join(",")}`);
    expect([tooMany.status, tooMany.body]).toEqual([
      422,
      expect.stringContaining("at most 6 builds; 7 are chosen"),
    ]);
    expect((await server.send("GET", `/write-up?builds=${cupboard}&use=glory`)).status).toBe(400);
    expect((await server.send("GET", `/write-up?builds=${many[0]}`)).status).toBe(404);
    expect((await server.send("GET", "/write-up.md")).status).toBe(404);
  });
});

describe("the account of two builds", () => {
  const begin = async () => {
    const server = await testServer();
    const world = await comparedWorld(server);
    return { server, world, query: `builds=${world.frame},${world.cupboard}&use=daily` };
  };

  it("stands at once with what was observed, and tells the rest once it is fitted", async () => {
    const { server, query } = await begin();
    const first = await server.send("GET", `/write-up?${query}`);
    expect(first.status).toBe(200);
    expect(first.body).toContain("The limits are still being fitted");
    expect(first.body).toContain("data-later=");
    const early = await server.send("GET", `/write-up/account?${query}`);
    expect([200, 204]).toContain(early.status);
    const waited = await server.send("GET", `/write-up?${query}&wait=yes`);
    expect(waited.body).not.toContain("still being fitted");
    const words = textOf(waited.body);
    for (const heading of [
      "Open frame against Cupboard",
      "What was compared",
      "Method",
      "Conditions",
      "How far each build goes",
      "What sets them apart",
      "Contested claims",
      "Verdict",
      "What to run",
      "Caveats",
      "Cautions",
    ])
      expect(words).toContain(heading);
    expect(words).toContain("Cupboard at 1.200 V: 1 pass contested");
    expect(waited.body.match(/<svg[^>]*role="img"/g)?.length).toBeGreaterThanOrEqual(4);
    expect(waited.body.match(/<h1/g)).toHaveLength(1);
    const piece = await server.send("GET", `/write-up/account?${query}`);
    expect(piece.status).toBe(200);
    expect(piece.body).toMatch(/^<div id="account"/);
  });

  it("says the same over the interface, as blocks and as Markdown, with the figures of the comparison", async () => {
    const { server, world, query } = await begin();
    const { body } = await server.send("GET", `/api/write-up?${query}`);
    const compared = (await server.send("GET", `/api/compare?a=${world.frame}&b=${world.cupboard}`)).body;
    const answer = body.blocks.find((block: { slot?: string }) => block.slot === "answer");
    expect(answer.words).toBe(compared.sentence);
    const clocks = body.blocks.find(
      (block: { name?: string; as: string }) => block.as === "table" && block.name === "clocks-1",
    );
    expect(clocks.rows.map(([volts, a, b]: string[]) => [volts, a, b])).toEqual([
      ["1.150", "4550", "4500"],
      ["1.200", "4650", "4450"],
      ["1.250", "4750", "4700"],
      ["all", "–", "–"],
    ]);
    const markdown = await server.send("GET", `/api/write-up?${query}`, undefined, {
      accept: "text/markdown",
    });
    expect(markdown.headers["content-type"]).toBe("text/markdown; charset=utf-8");
    expect(markdown.body).toMatch(/^# Open frame against Cupboard\n/);
    const file = await server.send("GET", `/write-up.md?${query}`);
    expect(file.body).toBe(markdown.body);
    expect(file.headers["content-disposition"]).toContain("write-up.md");
    expect((await server.send("GET", `/api/write-up?builds=${world.frame}&use=glory`)).status).toBe(400);
  });

  it("puts every chart as SVG, PNG and CSV, every table and the pictures into one archive", async () => {
    const { server, world, query } = await begin();
    await server.send("POST", `/api/builds/${world.frame}/pictures?caption=The%20mount`, madeJpeg(), {
      "content-type": "image/jpeg",
    });
    const reply = await server.app.inject({ url: `/write-up.zip?${query}` });
    expect(reply.headers["content-type"]).toBe("application/zip");
    const files = filesIn(reply.rawPayload);
    for (const chart of ["limit-1", "limit-2", "frontiers", "differences-1"]) {
      expect(files.get(`charts/${chart}.svg`)?.toString()).toContain("<svg");
      expect(files.get(`charts/${chart}.png`)?.subarray(1, 4).toString()).toBe("PNG");
      expect(files.get(`charts/${chart}.csv`)?.length).toBeGreaterThan(60);
    }
    for (const table of [
      "builds",
      "limit-1",
      "limit-2",
      "clocks-1",
      "measures-1",
      "all-measures-1",
      "attempts-2",
    ])
      expect(files.has(`tables/${table}.csv`)).toBe(true);
    expect(files.get("tables/clocks-1.csv")?.toString()).toContain("1.200,4650,4450,-200");
    expect(files.get("pictures/1.jpg")?.subarray(0, 2)).toEqual(Buffer.of(0xff, 0xd8));
    const text = files.get("write-up.md")?.toString() ?? "";
    for (const [, name] of text.matchAll(/!\[[^\]]*\]\(<([^>]+)>\)/g))
      expect(files.has(name ?? "")).toBe(true);
    expect(text).toContain("(<pictures/1.jpg>)");
    expect(text).toContain("(<charts/limit-1.png>)");
  });
});

describe("heat in the account", () => {
  it("draws the newest run of each build at one setting, like with like, on the page and in the archive", async () => {
    const server = await testServer();
    const { cupboard, frame, heavy } = await smallWorld(server);
    const traced = async (build: string, clockMhz: number, hour: number, levelC: number) => {
      const { body } = await server.send("POST", `/api/builds/${build}/attempts`, {
        ...{ workloadId: heavy, clockMhz, voltageMv: 1200, outcome: "pass", durationS: 900 },
        startedAt: new Date(Date.parse("2031-05-03T10:00:00Z") + hour * 3_600_000).toISOString(),
      });
      const csv = { "content-type": "text/csv" };
      await server.send("POST", `/api/attempts/${body.id}/trace`, madeLog(930, levelC), csv);
    };
    await traced(cupboard, 4500, 0, 88);
    await traced(cupboard, 4500, 1, 80);
    await traced(frame, 4500, 2, 72);
    await traced(frame, 4700, 3, 91);
    const query = `builds=${cupboard},${frame}`;
    const reply = await server.app.inject({ url: `/write-up.zip?${query}` });
    const files = filesIn(reply.rawPayload);
    const table = files.get("tables/heat.csv")?.toString() ?? "";
    expect(table).toMatch(/Cupboard,(79\.[5-9]|80\.[0-3]),22\.5,57\.\d/);
    expect(table).toMatch(/Open frame,7[12]\.\d,22\.5,49\.\d/);
    expect(files.get("charts/heat.svg")?.toString()).toContain("time under load, min");
    const rows = (files.get("charts/heat.csv")?.toString() ?? "").split("\r\n").map((row) => row.split(","));
    const lastOf = (name: string) => rows.findLast(([as, what]) => as === "line" && what === name)!;
    expect(Number(lastOf("Cupboard")[2])).toBeCloseTo(15, 0);
    expect(Math.abs(Number(lastOf("Cupboard")[3]) - 57.5)).toBeLessThan(1.5);
    expect(Math.abs(Number(lastOf("Open frame")[3]) - 49.5)).toBeLessThan(1.5);
    const page = textOf((await server.send("GET", `/write-up?${query}&wait=yes`)).body);
    expect(page).toContain("Heat at 4500 MHz at 1.200 V under Stacking, each from one run.");
    expect((await server.send("GET", `/api/write-up?${query}`)).body.blocks).toContainEqual(
      expect.objectContaining({ as: "chart", name: "heat" }),
    );
  });
});

describe("POST /write-up/words", () => {
  it("keeps the writer's own words, says when the journal has gone on, and takes them back", async () => {
    const server = await testServer();
    const { cupboard, frame, heavy } = await comparedWorld(server);
    const query = `builds=${frame},${cupboard}&use=daily`;
    const form = await server.send("GET", `/write-up/words?${query}`);
    expect(form.status).toBe(200);
    const said = (await server.send("GET", `/api/write-up?${query}`)).body.blocks.find(
      (block: { slot?: string }) => block.slot === "conditions",
    ).words;
    const fields = { builds: `${frame},${cupboard}`, use: "daily", "seen.conditions": said };
    const mine = "Two evenings in the hut.\r\n\r\nThe stove was out.";
    const kept = await postForm(server, "/write-up/words", { ...fields, "words.conditions": mine });
    expect(kept.status).toBe(303);
    const page = async () => textOf((await server.send("GET", `/write-up?${query}&wait=yes`)).body);
    expect(await page()).toContain("Two evenings in the hut. The stove was out.");
    expect(await page()).not.toContain("older than the journal");
    expect(await page()).not.toContain(said);
    const run = { workloadId: heavy, clockMhz: 4400, voltageMv: 1200, outcome: "pass", durationS: 900 };
    await server.send("POST", `/api/builds/${cupboard}/attempts`, run);
    expect(await page()).toContain("These words are older than the journal.");
    await postForm(server, "/write-up/words", {
      ...fields,
      "words.conditions": mine,
      "again.conditions": "true",
    });
    expect(server.journal.writeUpWords.all().filter(({ dropped }) => !dropped)).toEqual([]);
    expect(await page()).not.toContain("Two evenings");
  });

  it("changes no figure, keeps the words of one account out of another, and leaves out what is left empty", async () => {
    const server = await testServer();
    const { cupboard, frame } = await comparedWorld(server);
    const builds = `${frame},${cupboard}`;
    const words = (slot: string, typed: string) =>
      postForm(server, "/write-up/words", {
        builds,
        use: "daily",
        [`words.${slot}`]: typed,
        [`seen.${slot}`]: "what it said",
      });
    await words("title", "Hut or cupboard");
    await words("method", "");
    await words("limit-1", "4999");
    const page = textOf((await server.send("GET", `/write-up?builds=${builds}&use=daily&wait=yes`)).body);
    expect(page).toContain("Hut or cupboard");
    expect(page).not.toContain("A setting counts as held");
    expect(page).not.toContain("4999");
    const other = textOf((await server.send("GET", `/write-up?builds=${frame}&use=daily&wait=yes`)).body);
    expect(other).toContain("Open frame: how far it goes");
    expect(other).toContain("A setting counts as held");
  });

  it("refuses a paragraph too long and keeps what was typed", async () => {
    const server = await testServer();
    const { frame } = await smallWorld(server);
    const typed = "long ".repeat(5000);
    const { status, body } = await postForm(server, "/write-up/words", {
      builds: frame,
      use: "daily",
      "words.verdict": typed,
      "seen.verdict": "",
    });
    expect(status).toBe(422);
    expect(body).toContain("at most 20,000 characters");
    expect(body).toContain(typed.trim());
  });
});
