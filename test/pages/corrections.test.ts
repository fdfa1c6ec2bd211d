import { describe, expect, it, vi } from "vitest";
import { smallWorld, type TestServer, testServer } from "../support/bench.ts";
import { errorBeside, postForm } from "../support/forms.ts";
import { cardWorld, coreWorld, memoryWorld } from "../support/settingWorlds.ts";

async function evening() {
  const server = await testServer();
  const world = await smallWorld(server);
  const ids: string[] = [];
  for (const clockMhz of [4500, 4525, 4550]) {
    const run = { workloadId: world.heavy, clockMhz, voltageMv: 1200, outcome: "pass", durationS: 900 };
    ids.push(
      (await server.send("POST", `/api/builds/${world.cupboard}/attempts`, { ...run, ambientC: 12 })).body.id,
    );
    server.clock.pass(1000);
  }
  return { server, world, ids };
}

const rooms = async ({ send }: TestServer, build: string) =>
  (await send("GET", `/api/builds/${build}/attempts`)).body.items.map(
    ({ ambientC }: { ambientC: number | null }) => ambientC,
  );

describe("correcting several attempts at once", () => {
  it("shows what it would change, changes those chosen, and is undone with one tap", async () => {
    const { server, world, ids } = await evening();
    const address = `/builds/${world.cupboard}/corrections`;
    expect((await server.send("GET", address)).body).toContain("What was wrong");
    const choosing = (await server.send("GET", `${address}?field=ambientC`)).body;
    for (const id of ids) expect(choosing).toContain(`name="pick-${id}"`);
    const form = {
      field: "ambientC",
      ambientC: "21,5",
      [`pick-${ids[0]}`]: "yes",
      [`pick-${ids[2]}`]: "yes",
    };
    const looked = await postForm(server, address, { ...form, act: "look" });
    expect(looked.status).toBe(200);
    expect(looked.body).toContain("2 attempts would change");
    expect(await rooms(server, world.cupboard)).toEqual([12, 12, 12]);
    const done = await postForm(server, address, { ...form, act: "apply" });
    expect(done.status).toBe(303);
    expect(await rooms(server, world.cupboard)).toEqual([21.5, 12, 21.5]);
    const page = (await server.send("GET", String(done.headers.location))).body as string;
    expect(page).toContain("Room was corrected in 2 attempts.");
    const history = (await server.send("GET", `/api/attempts/${ids[0]}/history`)).body.items;
    expect(history.at(-1).changes).toEqual({ ambientC: [12, 21.5] });
    const changed = /name="changed" value="([^"]+)"/.exec(page)?.[1] ?? "";
    server.clock.pass(5);
    const undone = await postForm(server, `${address}/undoing`, { field: "ambientC", changed });
    expect(undone.status).toBe(303);
    expect(await rooms(server, world.cupboard)).toEqual([12, 12, 12]);
  });

  it("chooses a whole evening with one tap, and keeps what was chosen and typed where one chooses again", async () => {
    const { server, world, ids } = await evening();
    await server.send("POST", `/api/builds/${world.cupboard}/attempts`, {
      ...{ workloadId: world.heavy, clockMhz: 4500, voltageMv: 1200, outcome: "pass", durationS: 900 },
      startedAt: "2031-05-03T20:00:00.000Z",
    });
    const address = `/builds/${world.cupboard}/corrections`;
    const chosenIn = (html: string): string[] =>
      [...html.matchAll(/<input[^>]*name="pick-([^"]+)"[^>]*>/g)].flatMap(([input, id]) =>
        input.includes("checked") ? [id as string] : [],
      );
    const page = (await server.send("GET", `${address}?field=ambientC`)).body as string;
    expect(chosenIn(page)).toEqual([]);
    const ways = [...page.matchAll(/evening=([^"&]+)"/g)].map(([, id]) => id as string);
    expect(ways).toEqual([ids[2]]);
    const whole = (await server.send("GET", `${address}?field=ambientC&evening=${ways[0]}`)).body as string;
    expect(chosenIn(whole).sort()).toEqual([...ids].sort());
    const looking = { field: "ambientC", ambientC: "21,5", [`pick-${ids[1]}`]: "yes" };
    const again = await postForm(server, address, { ...looking, act: "choose" });
    expect(again.status).toBe(200);
    expect(chosenIn(again.body)).toEqual([ids[1]]);
    expect(again.body).toContain('value="21,5"');
    expect(await rooms(server, world.cupboard)).toEqual([12, 12, 12, null]);
  });

  it("is read at once for the Journal page, however many attempts it changed", async () => {
    const { server, world, ids } = await evening();
    const form = Object.fromEntries(ids.map((id) => [`pick-${id}`, "yes"]));
    const address = `/builds/${world.cupboard}/corrections`;
    await postForm(server, address, { ...form, field: "ambientC", ambientC: "21,5", act: "apply" });
    const { attempts } = server.journal;
    const looked = [vi.spyOn(attempts, "find"), vi.spyOn(attempts, "editsOf")];
    const page = (await server.send("GET", "/journal")).body as string;
    expect(page).toContain("3 attempts");
    expect(looked.map((one) => one.mock.calls.length)).toEqual([0, 0]);
    for (const one of looked) one.mockRestore();
  });

  it("changes nothing where one of them cannot be changed, and says why beside the field", async () => {
    const { server, world, ids } = await evening();
    const address = `/builds/${world.cupboard}/corrections`;
    const before = (await server.send("GET", `/api/builds/${world.cupboard}/attempts`)).body.items;
    const picks = Object.fromEntries(ids.map((id) => [`pick-${id}`, "yes"]));
    const high = { field: "voltageMv", voltageMv: "1.4", act: "apply", ...picks };
    const refused = await postForm(server, address, high);
    expect(refused.status).toBe(422);
    expect(refused.body).toContain("lies above the ceiling of 1.35 V");
    expect(refused.body.match(/href="#field-/g)).toHaveLength(1);
    const hot = await postForm(server, address, {
      field: "ambientC",
      ambientC: "900",
      act: "look",
      ...picks,
    });
    expect(hot.body).toContain("The temperature must be at most 200 °C.");
    const none = await postForm(server, address, { field: "ambientC", ambientC: "20", act: "look" });
    expect(none.body).toContain("Choose at least one attempt.");
    expect((await server.send("GET", `/api/builds/${world.cupboard}/attempts`)).body.items).toEqual(before);
  });

  it("is an address of the interface too", async () => {
    const { server, world, ids } = await evening();
    const sent = await server.send("POST", "/api/attempts/corrections", {
      ...{ ids, field: "workloadId", value: world.light },
    });
    expect([sent.status, sent.body.items.length]).toEqual([200, 3]);
    const items = (await server.send("GET", `/api/builds/${world.cupboard}/attempts`)).body.items;
    expect(new Set(items.map(({ workloadId }: { workloadId: string }) => workloadId))).toEqual(
      new Set([world.light]),
    );
    const wrong = await server.send("POST", "/api/attempts/corrections", {
      ...{ ids, field: "outcome", value: "pass" },
    });
    expect([wrong.status, wrong.body.error.fields.field]).toMatchObject([
      400,
      expect.stringMatching(/^A field is/),
    ]);
  });

  it("corrects one knob and leaves the others, as the bench names it, and undoes it", async () => {
    const server = await testServer();
    const { rig, load } = await cardWorld(server);
    const address = `/builds/${rig}/corrections`;
    const run = { workloadId: load, offset: 120, outcome: "pass", durationS: 900 };
    const tried = async (knobs: object | null) => {
      server.clock.pass(1000);
      return (await server.send("POST", `/api/builds/${rig}/attempts`, { ...run, knobs })).body.id as string;
    };
    const both = { "power-limit": 100, "memory-offset": 200 };
    const ids = [await tried(both), await tried({ "power-limit": 110 }), await tried(null)];
    const knobs = async () =>
      (await server.send("GET", `/api/builds/${rig}/attempts`)).body.items
        .toReversed()
        .map((one: { knobs: object | null }) => one.knobs);
    const picks = Object.fromEntries(ids.map((id) => [`pick-${id}`, "yes"]));
    const form = { field: "knob-power-limit", "knob-power-limit": "110 %", ...picks };
    expect((await server.send("GET", address)).body).toContain(">Power limit</option>");
    const looked = (await postForm(server, address, { ...form, act: "look" })).body;
    expect(looked).toContain("Power limit: 2 attempts would change");
    for (const words of ["100 %", "as usual: 100 %", "the same"]) expect(looked).toContain(`>${words}</td>`);
    const done = await postForm(server, address, { ...form, act: "apply" });
    const now110 = { "power-limit": 110 };
    expect(await knobs()).toEqual([{ ...both, ...now110 }, now110, now110]);
    const page = (await server.send("GET", String(done.headers.location))).body as string;
    expect(page).toContain("Power limit was corrected in 2 attempts.");
    const changed = /name="changed" value="([^"]+)"/.exec(page)?.[1] ?? "";
    server.clock.pass(5);
    await postForm(server, `${address}/undoing`, { field: "knob-power-limit", changed });
    expect(await knobs()).toEqual([both, now110, null]);
    const usual = await postForm(server, address, { ...form, "knob-power-limit": "", act: "apply" });
    expect(usual.status).toBe(303);
    expect(await knobs()).toEqual([{ "memory-offset": 200 }, null, null]);
    const wrong = await postForm(server, address, { ...form, "knob-power-limit": "a lot", act: "apply" });
    expect([wrong.status, errorBeside(wrong.body, "knob-power-limit")]).toEqual([
      422,
      "Power limit must be a number in %, or auto.",
    ]);
  });

  it("corrects timings as one line, and passes a ceiling only once that is said to be meant", async () => {
    const server = await testServer();
    const { build, load } = await memoryWorld(server);
    const address = `/builds/${build}/corrections`;
    const run = { workloadId: load, clockMhz: 6000, voltageMv: 1350, outcome: "pass", durationS: 900 };
    const high = { controller: 1.32 };
    const sent = { ...run, knobs: { ...high, cl: 32, trcd: 40 }, aboveCeiling: true };
    const { id } = (await server.send("POST", `/api/builds/${build}/attempts`, sent)).body;
    const read = async () => (await server.send("GET", `/api/attempts/${id}`)).body;
    const apply = (form: Record<string, string>) =>
      postForm(server, address, { ...form, [`pick-${id}`]: "yes", act: "apply" });
    server.clock.pass(60);
    expect((await apply({ field: "timings", timings: "30-38" })).status).toBe(303);
    expect(await read()).toMatchObject({ knobs: { ...high, cl: 30, trcd: 38 }, aboveCeiling: true });
    const higher = { field: "knob-controller", "knob-controller": "1.35" };
    server.clock.pass(60);
    const asked = await apply(higher);
    expect([asked.status, (await read()).knobs.controller]).toEqual([422, 1.32]);
    expect(asked.body).toContain("lies above its ceiling");
    expect(asked.body).toContain('name="aboveCeiling"');
    const other = await apply({ ...higher, aboveCeiling: "1.34" });
    expect([other.status, (await read()).knobs.controller]).toEqual([422, 1.32]);
    expect((await apply({ ...higher, aboveCeiling: "1.35" })).status).toBe(303);
    expect(await read()).toMatchObject({ knobs: { controller: 1.35 }, aboveCeiling: true });
  });

  it("corrects the offset of one part and leaves those of the others and attempts without any", async () => {
    const server = await testServer();
    const { build, load } = await coreWorld(server);
    const run = { workloadId: load, outcome: "pass", durationS: 900 };
    const tried = async (set: object) => {
      server.clock.pass(1000);
      return (await server.send("POST", `/api/builds/${build}/attempts`, { ...run, ...set })).body
        .id as string;
    };
    const listed = await tried({ offsets: { "core 0": -20, "core 1": -25 } });
    const alone = await tried({ offset: -30, part: "core 1" });
    const address = `/builds/${build}/corrections`;
    const form = {
      field: "offsets",
      offsets: "core 1 = -15",
      [`pick-${listed}`]: "y",
      [`pick-${alone}`]: "y",
    };
    const looked = (await postForm(server, address, { ...form, act: "look" })).body;
    expect(looked).toContain("1 attempt would change");
    expect(looked).toContain("core 1 −15 mV</td>");
    expect((await postForm(server, address, { ...form, act: "apply" })).status).toBe(303);
    const read = async (id: string) => (await server.send("GET", `/api/attempts/${id}`)).body;
    expect((await read(listed)).offsets).toEqual({ "core 0": -20, "core 1": -15 });
    expect(await read(alone)).toMatchObject({ offset: -30, offsets: null, part: "core 1" });
    const blank = await postForm(server, address, { ...form, offsets: " ", act: "look" });
    expect(errorBeside(blank.body, "offsets")).toBe("Say what it was.");
    const unknown = await postForm(server, address, { ...form, offsets: "core 9 = -15", act: "apply" });
    expect(errorBeside(unknown.body, "offsets")).toContain("This chip has no part called core 9");
  });

  it("takes knobs and offsets by part over the interface too, those named alone, and null takes one out", async () => {
    const server = await testServer();
    const { build, load } = await coreWorld(server);
    const offsets = { "core 0": -20, "core 1": -25 };
    const run = { workloadId: load, offsets, outcome: "pass", durationS: 900 };
    const { id } = (await server.send("POST", `/api/builds/${build}/attempts`, run)).body;
    const corrected = async (value: object) =>
      (await server.send("POST", "/api/attempts/corrections", { ids: [id], field: "offsets", value })).body;
    expect((await corrected({ "core 1": -10 })).items[0].offsets).toEqual({ ...offsets, "core 1": -10 });
    expect((await corrected({ "core 1": null })).items[0].offsets).toEqual({ "core 0": -20 });
    expect((await corrected({ "core 1": "low" })).error.fields).toHaveProperty(["offsets.core 1"]);
    expect(
      (await server.send("GET", `/api/attempts/${id}/history`)).body.items.map(
        ({ changes }: { changes: object }) => changes,
      ),
    ).toEqual([
      { offsets: [offsets, { ...offsets, "core 1": -10 }] },
      { offsets: [{ ...offsets, "core 1": -10 }, { "core 0": -20 }] },
    ]);
  });
});
