import { describe, expect, it } from "vitest";
import { smallWorld, type TestServer, testServer } from "../../support/bench.ts";

const setting = { clockMhz: 4600, voltageMv: 1200, outcome: "pass", durationS: 900 };

async function comparedWorld(server: TestServer) {
  const world = await smallWorld(server);
  const ran = (build: string, loadTempC: number, more: object = {}) =>
    server.send("POST", `/api/builds/${build}/attempts`, {
      ...setting,
      workloadId: world.heavy,
      ambientC: 22,
      loadTempC,
      startedAt: "2031-05-01T10:00:00Z",
      ...more,
    });
  const page = async (query: string) =>
    ((await server.send("GET", `/compare?${query}`)).body as string).replaceAll("\u00a0", " ");
  return { ...world, ran, page, pair: `a=${world.cupboard}&b=${world.frame}` };
}

describe("GET /compare", () => {
  it("asks for a second mount before it calls a thermal difference real, with the way to write it down", async () => {
    const server = await testServer();
    const { ran, page, pair, cupboard, frame } = await comparedWorld(server);
    await ran(cupboard, 80);
    await ran(frame, 74);
    const html = await page(pair);
    expect(html).toContain("which one runs cooler takes more mounts to say");
    expect(html).toContain("Take the cooler off and put it back on each build");
    for (const build of [cupboard, frame]) expect(html).toContain(`href="/builds/${build}/mounts#form"`);
  });

  it("takes the tester's own scatter of mounts, and keeps it in the form", async () => {
    const server = await testServer();
    const { ran, page, pair, cupboard, frame } = await comparedWorld(server);
    await ran(cupboard, 80);
    await ran(frame, 70);
    const html = await page(`${pair}&mountScatter=1,5`);
    expect(html).toContain("Open frame runs 10 °C cooler");
    expect(html).toMatch(/name="mountScatter"[^>]*value="1,5"/);
    expect(html).toContain("as stated by the tester");
    expect(html).not.toContain("Take the cooler off");
    const { body } = await server.send("GET", `/api/compare?${pair}&mountScatterC=1.5`);
    expect(body.sameSetting[0]).toMatchObject({ measure: "loadRise", verdict: "differs", difference: -10 });
  });

  it("calls a real difference that is not worth having just that", async () => {
    const server = await testServer();
    const { ran, page, pair, cupboard, frame } = await comparedWorld(server);
    await ran(cupboard, 80);
    await ran(frame, 70);
    const html = await page(`${pair}&mountScatter=1.5&worthHeat=12`);
    expect(html).toContain("less than is worth having");
  });

  it("counts run by run where the cooler stayed on", async () => {
    const server = await testServer();
    const { ran, page, pair, cupboard, frame } = await comparedWorld(server);
    for (const [n, t] of [80, 80.2, 79.8].entries())
      await ran(cupboard, t, { startedAt: `2031-05-01T1${n}:00:00Z` });
    for (const [n, t] of [75, 75.2, 74.8].entries())
      await ran(frame, t, { startedAt: `2031-05-02T1${n}:00:00Z` });
    expect(await page(pair)).toContain("takes more mounts to say");
    const html = await page(`${pair}&stayed=yes`);
    expect(html).toContain("Open frame runs 5");
    expect(html).toMatch(/name="stayed"[^>]*checked/);
  });

  it("says beside the field what cannot be read, and takes the usual meanwhile", async () => {
    const server = await testServer();
    const { ran, page, pair, cupboard, frame } = await comparedWorld(server);
    await ran(cupboard, 80);
    await ran(frame, 74);
    const html = await page(`${pair}&mountScatter=lots`);
    expect(html).toContain('id="field-mountScatter-error"');
    expect(html).toContain('value="lots"');
    expect(html).toContain("takes more mounts to say");
  });

  it("says two samples of the chip above the answer", async () => {
    const server = await testServer();
    const { page, cupboard, large } = await comparedWorld(server);
    const { body } = await server.send("POST", "/api/chips", {
      name: "Tern 8, second",
      kind: "cpu",
      tempLimitC: 95,
    });
    const other = await server.send("POST", "/api/builds", { name: "Loft", chipId: body.id, boardId: large });
    const html = await page(`a=${cupboard}&b=${other.body.id}`);
    expect(html.indexOf("two samples of the chip: part")).toBeGreaterThan(0);
    expect(html.indexOf("two samples of the chip: part")).toBeLessThan(html.indexOf("<h1"));
  });

  it("compares several builds, each against the one chosen", async () => {
    const server = await testServer();
    const { ran, page, cupboard, frame, chip, large } = await comparedWorld(server);
    const loft = (await server.send("POST", "/api/builds", { name: "Loft", chipId: chip, boardId: large }))
      .body.id;
    await ran(cupboard, 80);
    await ran(frame, 70);
    await ran(loft, 79);
    const html = await page(`a=${cupboard}&b=${frame}&b=${loft}&mountScatter=1`);
    expect(html.match(/<h1/g)).toHaveLength(1);
    expect(html).toMatch(/<h1>2 builds against Cupboard: one differs beyond scatter/);
    expect(html).toContain("Each build less Cupboard");
    expect(html).toContain(`href="/compare?a=${cupboard}&amp;b=${loft}&amp;mountScatter=1"`);
    const table = /id="effect-table-loadRise".*?<\/table>/s.exec(html)?.[0] ?? "";
    expect(table.indexOf("Open frame")).toBeLessThan(table.indexOf("Loft"));
  });

  it("claims of several builds no more in a row or a line than above them all", async () => {
    const server = await testServer();
    const { ran, page, cupboard, frame, chip, large } = await comparedWorld(server);
    await ran(cupboard, 80);
    await ran(frame, 72);
    const others = ["Loft", "Cellar", "Attic", "Porch"];
    const ids: string[] = [];
    for (const name of others) {
      const made = await server.send("POST", "/api/builds", { name, chipId: chip, boardId: large });
      ids.push(made.body.id);
      await ran(made.body.id, 80);
    }
    // Of one pair a chance of 0.023; of five Holm asks it five times over.
    const pair = await page(`a=${cupboard}&b=${frame}&mountScatter=2`);
    expect(pair).toMatch(/Open frame runs 8 °C cooler<\/h1>/);
    const all = `a=${cupboard}${[frame, ...ids].map((id) => `&b=${id}`).join("")}`;
    const html = await page(`${all}&mountScatter=2`);
    expect(html).toMatch(/<h1[^>]*>5 builds against Cupboard: none differs beyond scatter yet/);
    expect(html).toContain("Among all of these, no difference is claimed in load temperature over the room.");
    expect(html).toContain("differs by itself, not among all");
    expect(html).not.toMatch(/data-head="Verdict"[^>]*>differs</);
  });

  it("tells core supply temperatures by one sensor where both builds are on one board", async () => {
    const server = await testServer();
    const { ran, cupboard, chip, small } = await comparedWorld(server);
    const shelf = (await server.send("POST", "/api/builds", { name: "Shelf", chipId: chip, boardId: small }))
      .body.id;
    await ran(cupboard, 80, { supplyTempC: 70 });
    await ran(shelf, 80, { supplyTempC: 60 });
    const { body } = await server.send("GET", `/api/compare?a=${cupboard}&b=${shelf}`);
    // biome-ignore lint/suspicious/noExplicitAny: an answer is read by the test that asked for it
    const row = body.sameSetting.find((one: any) => one.measure === "supplyRise");
    expect(JSON.stringify(row.budget)).toContain("same sensor");
  });

  it("warns where the control runs say that the bench has drifted", async () => {
    const server = await testServer();
    const { ran, page, pair, cupboard, frame } = await comparedWorld(server);
    const control = { tags: ["control"] };
    for (const [day, t] of [
      [1, 80],
      [2, 82],
      [3, 84],
    ] as const)
      for (const n of [0, 1])
        await ran(cupboard, t + 0.2 * n, { ...control, startedAt: `2031-05-0${day}T1${n}:00:00Z` });
    await ran(frame, 78);
    const html = await page(pair);
    expect(html).toMatch(/class="note caution"[^>]*>The bench has drifted by \+4\.0 °C/);
    expect(html).toContain("#drift");
  });

  it("says where loudness was read at different distances and worked out to one", async () => {
    const server = await testServer();
    const { page, pair, cupboard, frame } = await comparedWorld(server);
    const read = (build: string, distanceM: number) =>
      server.send("POST", `/api/builds/${build}/noise`, { levelsDba: [40], backgroundDba: 20, distanceM });
    await read(cupboard, 0.5);
    await read(frame, 1);
    const html = await page(pair);
    expect(html).toContain("1, worked out");
    expect(html).toContain("Read at different distances, so compared at 1 m and not judged.");
  });

  it("draws what was only observed between held and crashed as such, open where an end was never tried", async () => {
    const server = await testServer();
    const { ran, page, pair, cupboard, frame } = await comparedWorld(server);
    await ran(cupboard, 80);
    await ran(cupboard, 82, { clockMhz: 4650, outcome: "freeze", startedAt: "2031-05-01T12:00:00Z" });
    await ran(frame, 78, { clockMhz: 4700 });
    const html = await page(pair);
    expect(html).toContain("observed only");
    expect(html).toContain("+100 MHz (at least 50)");
    expect(html).toContain('stroke-linecap="butt"');
  });
});
