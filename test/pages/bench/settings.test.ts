import { describe, expect, it } from "vitest";
import { plainText } from "../../support/answersSaid.ts";
import { type TestServer, testServer } from "../../support/bench.ts";
import { errorBeside, postForm } from "../../support/forms.ts";
import { cardWorld, coreWorld, memoryWorld } from "../../support/settingWorlds.ts";

const newest = async ({ send }: TestServer, build: string) =>
  (await send("GET", `/api/builds/${build}/attempts`)).body.items[0];
const bench = async ({ send }: TestServer, build: string) =>
  (await send("GET", `/?build=${build}`)).body as string;
const input = (page: string, name: string): string | undefined =>
  new RegExp(`name="${name}"[^>]*?value="([^"]*)"`).exec(page)?.[1];

describe("the bench of a chip that is set by offset", () => {
  it("asks for the offset alone and says what it was set to with its sign and unit", async () => {
    const server = await testServer();
    const { rig, load } = await cardWorld(server);
    const before = await bench(server, rig);
    const [, heading = ""] = /<h1[^>]*>(.*?)<\/h1>/s.exec(before) ?? [];
    expect(heading.replace(/<[^>]*>/g, "")).toBe("Next: 0 MHz");
    expect(before).toContain("Clock offset");
    expect(before).not.toContain('name="voltageMv"');
    const form = { workloadId: load, offset: "+120", plannedS: "20", outcome: "pass" };
    const sent = await postForm(server, `/builds/${rig}/attempts`, form);
    expect(sent.status).toBe(303);
    expect(await newest(server, rig)).toMatchObject({ offset: 120, clockMhz: null, voltageMv: null });
    const after = (await server.send("GET", String(sent.headers.location))).body as string;
    expect(after).toContain("Kept: +120 MHz passed after 20 min.");
    await expect.poll(() => bench(server, rig), { timeout: 20_000 }).toContain("last 120");
    const table = (await server.send("GET", `/builds/${rig}/attempts`)).body as string;
    expect(table).toContain(">+120 MHz<");
  });

  it("says what passed at a harder offset than it answers, and why that is not the answer", async () => {
    const server = await testServer();
    const { rig, load } = await cardWorld(server);
    for (const [offset, outcome, durationS] of [
      [0, "pass", 1200],
      [60, "pass", 1200],
      [120, "pass", 1200],
      [135, "pass", 1200],
      [150, "driver-reset", 360],
    ] as const) {
      server.clock.pass(1800);
      const body = { workloadId: load, offset, outcome, durationS };
      await server.send("POST", `/api/builds/${rig}/attempts`, body);
    }
    const { body: best } = await server.send("GET", `/api/builds/${rig}/best`);
    const { because } = best.byOffset.parts[0].hardestSeen;
    expect(because).toMatch(/^There an hour passes only \d+ in 100 times\.$/);
    const page = async () => plainText((await server.send("GET", `/builds/${rig}`)).body);
    await expect.poll(page, { timeout: 20_000 }).toContain(`Hardest seen: +135 MHz. ${because}`);
  });

  it("keeps a knob on the dial once it was used, and carries it from attempt to attempt", async () => {
    const server = await testServer();
    const { rig, load } = await cardWorld(server);
    const form = { workloadId: load, offset: "0", plannedS: "20", outcome: "pass" };
    expect(await bench(server, rig)).toContain("Power limit, memory offset: as usual");
    await postForm(server, `/builds/${rig}/attempts`, { ...form, "knob-power-limit": "105 %" });
    expect((await newest(server, rig)).knobs).toEqual({ "power-limit": 105 });
    const page = await bench(server, rig);
    expect(input(page, "knob-power-limit")).toBe("105");
    expect(page).toContain("Memory offset: as usual");
    await postForm(server, `/builds/${rig}/attempts`, { ...form, offset: "15", "knob-power-limit": "110" });
    const table = (await server.send("GET", `/builds/${rig}/attempts`)).body as string;
    expect(table).toContain("Power limit");
    for (const value of ["110", "105"]) expect(table).toContain(`>${value}<`);
  });

  it("carries the room from attempt to attempt while an offset is proposed", async () => {
    const server = await testServer();
    const { rig, load } = await cardWorld(server);
    const form = { workloadId: load, offset: "30", plannedS: "20", outcome: "pass", ambientC: "23.5" };
    await postForm(server, `/builds/${rig}/attempts`, form);
    await expect.poll(() => bench(server, rig), { timeout: 20_000 }).toContain("Next: ");
    expect(input(await bench(server, rig), "ambientC")).toBe("23.5");
  });

  it("has the heading and its line follow the dials, and says what was proposed once they are turned", async () => {
    const server = await testServer();
    const { rig, load } = await cardWorld(server);
    const form = { workloadId: load, offset: "30", plannedS: "20", outcome: "pass" };
    await postForm(server, `/builds/${rig}/attempts`, form);
    await expect.poll(() => bench(server, rig), { timeout: 20_000 }).toContain("Next: ");
    const page = await bench(server, rig);
    const proposedLevel = input(page, "proposedLevel") as string;
    const offset = input(page, "offset") as string;
    const dials = {
      build: rig,
      workloadId: load,
      plannedS: input(page, "plannedS") as string,
      proposedLevel,
    };
    const followed = async (more: Record<string, string>): Promise<[string, string]> => {
      const query = new URLSearchParams({ ...dials, offset, ...more });
      const piece = String((await server.send("GET", `/bench/forecast?${query}`)).body);
      const of = (id: string) =>
        new RegExp(`<span id="${id}"[^>]*>(.*?)</span>`, "s").exec(piece)?.[1]?.replace(/<[^>]*>/g, "") ?? "";
      return [of("dialled"), of("dialled-for")];
    };
    const [asProposed, forHow] = await followed({});
    expect(asProposed).toBe(`+${offset} MHz`);
    expect(forHow).toMatch(/^For .* min; it passes \d+ in 100\.$/);
    const [turned, then] = await followed({ offset: "45", plannedS: "30" });
    expect(turned).toBe("+45 MHz");
    expect(then).toMatch(new RegExp(`^For 30 min\\. Proposed: \\+${offset} MHz, `));
    expect((await followed({ offset: "nothing", proposedLevel: "%@%@%@-1" }))[0]).toBe("");
  });

  it("refuses an offset that is not offered beside its dial, and keeps what was typed", async () => {
    const server = await testServer();
    const { rig, load } = await cardWorld(server);
    const form = { workloadId: load, offset: "-620", plannedS: "20", outcome: "pass" };
    const refused = await postForm(server, `/builds/${rig}/attempts`, form);
    expect(refused.status).toBe(422);
    expect(refused.body).toContain("The offset of Lens 3 goes from −500 MHz to +500 MHz, not to −620 MHz.");
    expect(input(refused.body, "offset")).toBe("-620");
    expect(await newest(server, rig)).toBeUndefined();
  });

  it("asks to confirm a knob above its own ceiling, and asks again for another value", async () => {
    const server = await testServer();
    const { rig, load } = await cardWorld(server);
    const form = {
      ...{ workloadId: load, offset: "0", plannedS: "20", outcome: "pass" },
      "knob-memory-offset": "1100",
    };
    const asked = await postForm(server, `/builds/${rig}/attempts`, form);
    expect(asked.status).toBe(422);
    const words = "Memory offset at 1100 MHz lies above its ceiling of 1000 MHz";
    expect(asked.body).toContain(words);
    const other = { ...form, "knob-memory-offset": "1200", aboveCeiling: words };
    expect((await postForm(server, `/builds/${rig}/attempts`, other)).status).toBe(422);
    expect((await postForm(server, `/builds/${rig}/attempts`, { ...form, aboveCeiling: words })).status).toBe(
      303,
    );
    expect(await newest(server, rig)).toMatchObject({ aboveCeiling: true, knobs: { "memory-offset": 1100 } });
  });
});

describe("the bench of a chip that is set part by part", () => {
  const list = "core 0 = -20\ncore 1 = -25";
  const said = { "core 0": -20, "core 1": -25 };
  async function cores() {
    const server = await testServer();
    const { build, load } = await coreWorld(server);
    const form = { workloadId: load, plannedS: "20", outcome: "pass" };
    const sent = (more: Record<string, string>) =>
      postForm(server, `/builds/${build}/attempts`, { ...form, ...more });
    return { server, build, sent };
  }

  it("takes a list as that of all, or beside the part under test, which stands at the dial's own offset", async () => {
    const { server, build, sent } = await cores();
    expect((await sent({ part: "", offset: "", offsets: list })).status).toBe(303);
    expect(await newest(server, build)).toMatchObject({ offset: null, part: null, offsets: said });
    server.clock.pass(1200);
    await sent({ part: "core 1", offset: "", offsets: list });
    expect(await newest(server, build)).toMatchObject({ offset: null, part: "core 1", offsets: said });
    server.clock.pass(1200);
    await sent({ part: "core 1", offset: "-30", offsets: list });
    expect(await newest(server, build)).toMatchObject({
      ...{ offset: null, part: "core 1", offsets: { ...said, "core 1": -30 } },
    });
  });

  it("refuses one offset for all beside a list, and keeps both as typed", async () => {
    const { server, build, sent } = await cores();
    const refused = await sent({ part: "", offset: "-15", offsets: list });
    expect([refused.status, errorBeside(refused.body, "offset")]).toEqual([
      422,
      "Say one offset for all, or one for each part, and leave the other blank.",
    ]);
    expect(input(refused.body, "offset")).toBe("-15");
    expect(input(refused.body, "offsets")).toBe("core 0 = -20; core 1 = -25");
    expect(await newest(server, build)).toBeUndefined();
  });

  it("carries the list on the dial, and beside a part that is proposed next", async () => {
    const { server, build, sent } = await cores();
    expect(await bench(server, build)).toContain("Offsets by part: as usual");
    await sent({ part: "", offset: "", offsets: list });
    const page = (await server.send("GET", `/?build=${build}&offsets=${encodeURIComponent(list)}`)).body;
    expect(page).toContain("each as listed");
    expect(input(page, "offsets")).toBe("core 0 = -20; core 1 = -25");
    expect(page).not.toContain("Offsets by part: as usual");
    server.clock.pass(1200);
    await sent({ part: "core 1", offset: "-30", offsets: list });
    await expect.poll(() => bench(server, build), { timeout: 20_000 }).toMatch(/Next: .*on core/);
    const next = await bench(server, build);
    expect(input(next, "offsets")).toBe("core 0 = -20; core 1 = -30");
    expect(input(next, "offset")).toMatch(/^-\d+$/);
  });
});

describe("what software set", () => {
  const form = (load: string, more: object = {}) => ({
    ...{ workloadId: load, offset: "+120", plannedS: "20", outcome: "pass", ...more },
  });
  const kept = async (server: TestServer, rig: string, body: object) => {
    const sent = await postForm(server, `/builds/${rig}/attempts`, body as Record<string, string>);
    expect(sent.status).toBe(303);
    server.clock.pass(3600);
    return (await server.send("GET", String(sent.headers.location))).body as string;
  };
  const checked = (page: string, name: string) =>
    new RegExp(`<input[^>]*name="${name}"[^>]*checked`).test(page);

  it("is asked about once after a reset, and one tap makes the pass count", async () => {
    const server = await testServer();
    const { rig, load } = await cardWorld(server);
    const asked = "Applied again after “driver reset”";
    expect(await kept(server, rig, form(load))).not.toContain("Applied again");
    const reset = await kept(
      server,
      rig,
      form(load, { offset: "180", outcome: "driver-reset", durationS: "3" }),
    );
    expect(reset).toContain(asked);
    expect(checked(reset, "settingReadBack")).toBe(false);
    const [dials = ""] = /<form[^>]*id="try"[\s\S]*?<\/form>/.exec(reset) ?? [];
    for (const name of ["settingReadBack", "freshBoot"])
      expect(dials.split(`name="${name}"`), `${name} is asked once`).toHaveLength(2);
    const heldAt = async () =>
      (await server.send("GET", `/api/builds/${rig}/frontier`)).body.byOffset.rows[0].heldOffset;
    const unsaid = await kept(server, rig, form(load, { offset: "135" }));
    expect(unsaid).toContain(asked);
    expect(await heldAt()).toBe(120);
    expect((await server.send("GET", `/builds/${rig}`)).body).toContain(
      "left out: 1 of which nobody said that the setting was applied",
    );
    const said = await kept(server, rig, form(load, { offset: "135", settingReadBack: "confirmed" }));
    expect(said).toContain("passed after 20 min, read back as set.");
    expect(said).not.toContain("Applied again");
    expect(await heldAt()).toBe(135);
    expect(await newest(server, rig)).toMatchObject({ settingReadBack: "confirmed", freshBoot: null });
  });

  it("was lost with a run that says so, and with a fresh boot", async () => {
    const server = await testServer();
    const { rig, load } = await cardWorld(server);
    const lost = await kept(server, rig, form(load, { outcome: "setting-lost", durationS: "3" }));
    expect(lost).toContain("Applied again after “setting was lost”");
    await kept(server, rig, form(load, { settingReadBack: "confirmed" }));
    const booted = await kept(server, rig, form(load, { freshBoot: "yes" }));
    expect(booted).toContain("Applied again after “freshly booted”");
    expect(booted).toContain("passed after 20 min, freshly booted.");
    expect(await newest(server, rig)).toMatchObject({ freshBoot: true });
    expect((await server.send("GET", `/builds/${rig}/attempts`)).body).toContain(">freshly booted<");
  });

  it("is said in one tap of an attempt that ended and of one that runs, and taken back by the same", async () => {
    const server = await testServer();
    const { rig, load } = await cardWorld(server);
    await kept(server, rig, form(load));
    const { id } = await newest(server, rig);
    const tap = async (body: Record<string, string>) => {
      const sent = await postForm(server, `/attempts/${id}`, { back: "bench", ...body });
      return (await server.send("GET", String(sent.headers.location))).body as string;
    };
    const pressed = (page: string) =>
      [
        ...page.matchAll(
          /name="(?:settingReadBack|freshBoot)" value(?:="([^"]*)")?(?:(?!<.button>).)*aria-pressed="true"/g,
        ),
      ].map(([, value]) => value);
    const dropped = await tap({ settingReadBack: "differs" });
    expect(dropped).toContain("passed after 20 min, had dropped.");
    expect(pressed(dropped)).toEqual([undefined]);
    expect(dropped).toContain("Applied again after “had dropped”");
    expect((await server.send("GET", `/builds/${rig}/attempts`)).body).toContain(">had dropped<");
    expect((await server.send("GET", `/attempts/${id}`)).body).toContain(
      "the setting read back: otherwise than set",
    );
    expect(pressed(await tap({ settingReadBack: "" }))).toEqual([]);
    expect(await newest(server, rig)).toMatchObject({ settingReadBack: null });
    await postForm(server, `/builds/${rig}/attempts`, form(load, { outcome: "running" }));
    const running = await newest(server, rig);
    const page = await bench(server, rig);
    for (const words of ["Read back as set", "It had dropped", "Freshly booted", "Setting was lost"])
      expect(page).toContain(words);
    await postForm(server, `/attempts/${running.id}`, { back: "bench", freshBoot: "yes" });
    expect(await newest(server, rig)).toMatchObject({ outcome: "running", freshBoot: true });
  });

  it("is asked of no chip whose firmware holds what was set", async () => {
    const server = await testServer();
    const { build, load } = await memoryWorld(server);
    const body = { workloadId: load, clockMhz: "6000", voltageMv: "1.35", plannedS: "30" };
    const page = await kept(server, build, { ...body, outcome: "no-start" });
    for (const words of ["Applied again", "It had dropped"]) expect(page).not.toContain(words);
  });
});

describe("a pass that did less work than easier ones", () => {
  it("is offered to be told as slower in one tap, on the bench and on its own page, and in JSON", async () => {
    const server = await testServer();
    const { rig, load } = await cardWorld(server);
    const tried = async (offset: number, score: number) => {
      server.clock.pass(1800);
      const { body } = await server.send("POST", `/api/builds/${rig}/attempts`, {
        ...{ workloadId: load, offset, outcome: "pass", durationS: 900, score },
      });
      return body.id as string;
    };
    const usual = await tried(60, 30.9);
    await tried(75, 31);
    const odd = await tried(90, 29.4);
    const work = async (id: string) => (await server.send("GET", `/api/attempts/${id}/work`)).body;
    expect(await work(usual)).toEqual({ work: null, suggests: null, because: "" });
    expect(await work(odd)).toMatchObject({ suggests: "slower", work: { easier: 2 } });
    const offer = "It ran slower";
    for (const address of [`/attempts/${odd}`, `/?build=${rig}&kept=${odd}`]) {
      const page = (await server.send("GET", address)).body as string;
      expect(page, address).toContain(offer);
      expect(page, address).toContain("less work a clock than 2 easier passes near it");
    }
    expect((await server.send("GET", `/attempts/${usual}`)).body).not.toContain(offer);
    const sent = await postForm(server, `/attempts/${odd}/correction`, { outcome: "slower" });
    expect(sent.status).toBe(303);
    expect(await newest(server, rig)).toMatchObject({ outcome: "slower", durationS: 900 });
    expect((await server.send("GET", String(sent.headers.location))).body).not.toContain(offer);
    expect((await server.send("GET", "/api/attempts/nothing/work")).status).toBe(404);
  });
});

describe("the bench of a memory", () => {
  it("sets a rate of the grid, reads pasted timings as one line and carries them", async () => {
    const server = await testServer();
    const { build, load } = await memoryWorld(server);
    const page = await bench(server, build);
    expect(page).toContain("Speed");
    expect(page).toMatch(/<option[^>]*>6200 MT\/s/);
    const form = { workloadId: load, clockMhz: "6000", voltageMv: "1.35", plannedS: "30", outcome: "pass" };
    const sent = await postForm(server, `/builds/${build}/attempts`, {
      ...{ ...form, timings: "CL30-38-38-76", "knob-controller": "1.15 V" },
      ...{ training: "full", starts: "3 of 3", cycles: "4" },
    });
    expect(sent.status).toBe(303);
    expect(await newest(server, build)).toMatchObject({
      clockMhz: 6000,
      knobs: { cl: 30, trcd: 38, trp: 38, tras: 76, controller: 1.15 },
      ...{ training: "full", starts: { tried: 3, up: 3 }, cycles: 4 },
    });
    const after = (await server.send("GET", String(sent.headers.location))).body as string;
    expect(after).toContain("6000 MT/s at 1.350 V passed");
    expect(input(after, "timings")).toBe("30-38-38-76");
    expect(after).toContain("CL-tRCD-tRP-tRAS");
  });

  it("refuses a line that is no timings, and a rate that does not exist", async () => {
    const server = await testServer();
    const { build, load } = await memoryWorld(server);
    const form = { workloadId: load, clockMhz: "6000", voltageMv: "1.35", plannedS: "30", outcome: "pass" };
    const refused = await postForm(server, `/builds/${build}/attempts`, { ...form, timings: "30-38-tight" });
    expect(refused.status).toBe(422);
    expect(refused.body).toContain(
      "Write the timings as one line, such as 30-38-38-76: CL, tRCD, tRP, tRAS.",
    );
    const unknown = await server.send("POST", `/api/builds/${build}/attempts`, {
      ...{ workloadId: load, clockMhz: 6100, voltageMv: 1350, outcome: "pass", durationS: 900 },
    });
    expect(unknown.status).toBe(400);
    expect(unknown.body.error.fields.clockMhz).toContain("There is no 6100 MT/s on this chip's grid");
  });
});

describe("a ceiling of a memory's voltage and of its controller's", () => {
  it("asks for each by itself, also for one that the board chose, and keeps that it was meant", async () => {
    const server = await testServer();
    const { build, load } = await memoryWorld(server);
    const body = { workloadId: load, clockMhz: 6000, voltageMv: 1350, outcome: "pass", durationS: 1800 };
    const sent = (more: object) => server.send("POST", `/api/builds/${build}/attempts`, { ...body, ...more });
    const memory = "1.5 V lies above the ceiling of 1.45 V set for this chip";
    const controller = "Controller voltage at 1.35 V lies above its ceiling of 1.3 V";
    const byItself = "Controller voltage at auto (1.35) V lies above its ceiling of 1.3 V";
    for (const [more, words, details] of [
      [{ voltageMv: 1500 }, memory, { ceilingMv: 1450 }],
      [{ knobs: { controller: 1.35 } }, controller, { knobs: ["controller"] }],
      [{ knobs: { controller: { auto: 1.35 } } }, byItself, { knobs: ["controller"] }],
      [
        { voltageMv: 1500, knobs: { controller: 1.35 } },
        `${memory}; ${controller}`,
        { ceilingMv: 1450, knobs: ["controller"] },
      ],
    ] as const) {
      const refused = await sent(more);
      expect(refused.status, words).toBe(409);
      expect(refused.body.error).toMatchObject({ code: "conflict", ...details });
      expect(refused.body.error.message).toContain(`${words}. Confirm that this is meant`);
      const meant = await sent({ ...more, aboveCeiling: true });
      expect([meant.status, meant.body.aboveCeiling], words).toEqual([201, true]);
    }
    for (const knobs of [{ controller: "auto" }, { controller: 1.3 }, { controller: { auto: 1.3 } }])
      expect((await sent({ knobs })).status).toBe(201);
  });
});
