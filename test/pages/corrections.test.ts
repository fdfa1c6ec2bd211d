import { describe, expect, it, vi } from "vitest";
import { smallWorld, type TestServer, testServer } from "../support/bench.ts";
import { postForm } from "../support/forms.ts";

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
});
