import { describe, expect, it } from "vitest";
import { smallWorld, testServer } from "../support/bench.ts";
import { postForm } from "../support/forms.ts";
import { madePng } from "../support/madePictures.ts";

describe("/parts", () => {
  it("says what to do next where nothing is written down yet", async () => {
    const { send } = await testServer();
    const { status, body } = await send("GET", "/parts");
    expect(status).toBe(200);
    expect(body).toContain("Begin with a chip and a board");
    expect(body).toContain('href="/parts/chips/new"');
    expect(body.match(/<h1/g)).toHaveLength(1);
  });

  it("lists every part with what uses it", async () => {
    const server = await testServer();
    const { cupboard, heavy } = await smallWorld(server);
    await server.send("POST", `/api/builds/${cupboard}/attempts`, {
      workloadId: heavy,
      clockMhz: 4600,
      voltageMv: 1200,
      outcome: "pass",
      durationS: 900,
    });
    const { body } = await server.send("GET", "/parts");
    for (const words of ["Tern 8", "Quay S", "Quay L", "Stacking", "Any load, 15 minutes", "1 attempt"])
      expect(body).toContain(words);
    expect(body).toContain(`href="/builds/${cupboard}"`);
  });
});

describe("the form of a part", () => {
  it("adds one with every field, as people write them", async () => {
    const server = await testServer();
    const fields = {
      name: "Tern 9",
      kind: "gpu",
      tempLimitC: "100",
      voltageCeilingMv: "1,2 V",
      stockClockMhz: "2.4 GHz",
      stockVoltageMv: "1.05",
      warnMarginC: "8",
      clockStepMhz: "15",
      voltageStepMv: "6.25",
      sensorAccuracyC: "",
      note: "on loan",
    };
    const sent = await postForm(server, "/parts/chips/new", fields);
    expect([sent.status, sent.headers.location]).toEqual([303, "/parts#chips"]);
    expect((await server.send("GET", "/api/chips")).body.items).toMatchObject([
      {
        name: "Tern 9",
        kind: "gpu",
        tempLimitC: 100,
        voltageCeilingMv: 1200,
        stockClockMhz: 2400,
        stockVoltageMv: 1050,
        warnMarginC: 8,
        clockStepMhz: 15,
        voltageStepMv: 6.25,
        sensorAccuracyC: 1,
        note: "on loan",
      },
    ]);
  });

  it("refuses a blank name beside the field and keeps what was typed", async () => {
    const server = await testServer();
    const sent = await postForm(server, "/parts/boards/new", {
      name: " ",
      corePhases: "many",
      formFactor: "small",
    });
    expect(sent.status).toBe(422);
    expect(sent.body).toContain("A name is needed.");
    expect(sent.body).toContain('value="many"');
    expect(sent.body).toContain('value="small"');
    expect((await server.send("GET", "/api/boards")).body.items).toEqual([]);
  });

  it("edits, and says so where somebody else did meanwhile", async () => {
    const server = await testServer();
    const { light } = await smallWorld(server);
    const form = (await server.send("GET", `/parts/workloads/${light}`)).body;
    expect(form).toContain('value="Browsing"');
    const edit = { name: "Reading", kind: "everyday", severity: "2", version: "1" };
    expect((await postForm(server, `/parts/workloads/${light}`, edit)).status).toBe(303);
    const stale = await postForm(server, `/parts/workloads/${light}`, { ...edit, name: "Writing" });
    expect(stale.status).toBe(422);
    expect(stale.body).toContain("changed elsewhere");
    expect(stale.body).toContain('value="Writing"');
    expect(stale.body).toContain("It now says “Reading”.");
    expect(stale.body).toContain('name="version" value="2"');
    expect((await server.send("GET", `/api/workloads/${light}`)).body).toMatchObject({
      name: "Reading",
      severity: 2,
    });
  });

  it("deletes what nothing uses and brings it back; what is used stays, with the reason", async () => {
    const server = await testServer();
    const { small, idle } = await smallWorld(server);
    const gone = await postForm(server, `/workloads/${idle}/deletion`, {});
    expect(gone.status).toBe(303);
    const page = await server.send("GET", String(gone.headers.location));
    expect(page.body).toContain(`action="/workloads/${idle}/restoration"`);
    expect((await server.send("GET", `/api/workloads/${idle}`)).status).toBe(404);
    await postForm(server, `/workloads/${idle}/restoration`, {});
    expect((await server.send("GET", `/api/workloads/${idle}`)).status).toBe(200);
    const used = await postForm(server, `/boards/${small}/deletion`, {});
    expect(used.status).toBe(409);
    expect(used.body).toContain("used by 1 build");
    expect((await server.send("GET", `/parts/boards/${small}`)).body).not.toContain(
      `/boards/${small}/deletion`,
    );
    expect((await server.send("GET", `/api/boards/${small}`)).status).toBe(200);
  });

  it("answers 404 for a part that is not there", async () => {
    const { send } = await testServer();
    for (const id of ["0197f000-0000-7000-8000-00000000dead", "x"])
      expect((await send("GET", `/parts/chips/${id}`)).status).toBe(404);
  });
});

describe("the form of an acceptance rule", () => {
  it("takes several requirements, rows added without script", async () => {
    const server = await testServer();
    const { heavy } = await smallWorld(server);
    const first = { name: "Night", rows: "1", "workload-0": heavy, "duration-0": "60", "errors-0": "true" };
    const more = await postForm(server, "/parts/rules/new", { ...first, act: "another" });
    expect(more.status).toBe(200);
    expect(more.body).toContain('name="duration-1"');
    expect(more.body).toContain('value="60"');
    const whole = { ...first, rows: "3", "duration-1": "", "duration-2": "1 h 30 min", "cold-2": "2" };
    expect((await postForm(server, "/parts/rules/new", whole)).status).toBe(303);
    const { items } = (await server.send("GET", "/api/rules")).body;
    expect(items.find(({ name }: { name: string }) => name === "Night").requires).toEqual([
      { workloadId: heavy, anyWorkload: null, durationS: 3600, correctedErrors: 0, coldStarts: null },
      { workloadId: null, anyWorkload: true, durationS: 5400, correctedErrors: null, coldStarts: 2 },
    ]);
  });

  it("asks for full trainings and cycles of a memory, says so, and keeps them when another field is edited", async () => {
    const server = await testServer();
    const rule = { name: "Three draws", "duration-0": "30", "trainings-0": "3", "cycles-0": "4" };
    expect((await postForm(server, "/parts/rules/new", rule)).status).toBe(303);
    const kept = async () =>
      (await server.send("GET", "/api/rules")).body.items.find(
        ({ requires }: { requires: { trainings?: number }[] }) => requires[0]?.trainings,
      );
    const { id } = await kept();
    expect((await server.send("GET", "/parts")).body).toContain(
      "any load for 30 min, 3 full trainings, 4 cycles in each",
    );
    const form = (await server.send("GET", `/parts/rules/${id}`)).body as string;
    const typed = (name: string) => new RegExp(`name="${name}"[^>]*value="([^"]*)"`).exec(form)?.[1] ?? "";
    const names = ["rows", "duration-0", "trainings-0", "cycles-0", "cold-0", "version"];
    const again = Object.fromEntries(names.map((name) => [name, typed(name)]));
    const sent = await postForm(server, `/parts/rules/${id}`, { ...again, name: "Three fresh draws" });
    expect(sent.status).toBe(303);
    expect(await kept()).toMatchObject({
      name: "Three fresh draws",
      requires: [{ durationS: 1800, trainings: 3, cycles: 4 }],
    });
    const refused = await postForm(server, "/parts/rules/new", { ...rule, "trainings-0": "few" });
    expect(refused.body).toMatch(/id="field-trainings-0-error"/);
  });

  it("puts its refusals beside the row they are about", async () => {
    const server = await testServer();
    const sent = await postForm(server, "/parts/rules/new", {
      name: "Night",
      rows: "2",
      "duration-1": "long",
    });
    expect(sent.status).toBe(422);
    expect(sent.body).toMatch(/id="field-duration-1-error"[^>]*>\s*The duration must be minutes, or 90 s/);
  });

  it("keeps the rule that always exists", async () => {
    const server = await testServer();
    const id = "00000000-0000-7000-8000-000000000001";
    expect((await server.send("GET", `/parts/rules/${id}`)).body).toContain("always exists");
    expect((await postForm(server, `/rules/${id}/deletion`, {})).status).toBe(409);
    expect((await server.send("GET", `/api/rules/${id}`)).status).toBe(200);
  });
});

describe("what a part or a build was before", () => {
  it("stands on its page, the latest first, with units and names, and at its address as JSON", async () => {
    const server = await testServer();
    const { chip, small, large, heavy, cupboard } = await smallWorld(server);
    expect((await server.send("GET", `/parts/chips/${chip}`)).body).not.toContain("How it was before");
    await server.send("PATCH", `/api/chips/${chip}`, { tempLimitC: 90, note: "lent" });
    await server.send("PATCH", `/api/chips/${chip}`, { note: "" });
    await server.send("PATCH", `/api/boards/${small}`, { name: "Quay XS" });
    await server.send("PATCH", `/api/workloads/${heavy}`, { severity: 7 });
    await server.send("PATCH", `/api/builds/${cupboard}`, { boardId: large });
    const page = async (url: string) => (await server.send("GET", url)).body as string;
    const [, history = ""] = /id="history"(.*?)<\/section>/s.exec(await page(`/parts/chips/${chip}`)) ?? [];
    expect(history).toContain("How it was before");
    expect(history).toMatch(
      /note: “lent” → blank.*temp limit: 95 °C → 90 °C; note: blank → “lent”.*written down/s,
    );
    expect(await page(`/parts/boards/${small}`)).toContain("name: “Quay S” → “Quay XS”");
    expect(await page(`/parts/workloads/${heavy}`)).toContain("severity: 10 → 7");
    expect(await page(`/builds/${cupboard}/edit`)).toContain("board: Quay XS → Quay L");
    const { items } = (await server.send("GET", `/api/chips/${chip}/history`)).body;
    expect(items.map(({ changes }: { changes: object }) => changes)).toEqual([
      { tempLimitC: [95, 90], note: ["", "lent"] },
      { note: ["lent", ""] },
    ]);
    expect((await server.send("GET", `/api/chips/${small}/history`)).status).toBe(404);
  });

  it("stands where a mount, a version, a noise reading or a picture is shown", async () => {
    const { send } = await testServer().then(async (server) => ({
      ...server,
      ...(await smallWorld(server)),
    }));
    const page = async (url: string) => (await send("GET", url)).body as string;
    const edited = async (url: string, body: object | Buffer, change: object, headers = {}) => {
      const { id } = (await send("POST", url, body, headers)).body;
      await send("PATCH", `/api/${url.split("/").at(-1)}/${id}`, change);
      return id as string;
    };
    const { items } = (await send("GET", "/api/builds")).body;
    const build = `/api/builds/${items[0].id}`;
    const mount = await edited(
      `${build}/mounts`,
      { mountedAt: "2031-05-01T08:00:00Z", paste: "grey" },
      { paste: "white", mountedAt: "2031-05-01T09:30:00Z" },
    );
    const mounted = await page(`/mounts/${mount}`);
    expect(mounted).toContain("paste: “grey” → “white”");
    expect(mounted).toContain("mounted at: 1 May 2031, 08:00 UTC → 1 May 2031, 09:30 UTC");
    expect(await page(`/builds/${items[0].id}/mounts`)).not.toContain("How it was before");

    await edited(`${build}/versions`, { of: "driver", name: "1.0" }, { name: "1.1" });
    const versions = await page(`/builds/${items[0].id}/versions`);
    expect(versions).toContain("How driver 1.1 was written down before");
    expect(versions).toContain("name: “1.0” → “1.1”");

    const noise = await edited(
      `${build}/noise`,
      { distanceM: 1, levelsDba: [40, 41.5] },
      { levelsDba: [40, 42], note: "late" },
    );
    const heard = await page(`/noise/${noise}`);
    expect(heard).toMatch(/levels: 40 41\.5 dBA → 40 42 dBA/);

    const png = { "content-type": "image/png" };
    const picture = await edited(`${build}/pictures`, madePng(), { caption: "left" }, png);
    const [, own = ""] =
      new RegExp(`id="picture-${picture}"(.*?)</section>`, "s").exec(
        await page(`/builds/${items[0].id}/pictures`),
      ) ?? [];
    expect(own).toContain("caption: blank → “left”");
  });
});
