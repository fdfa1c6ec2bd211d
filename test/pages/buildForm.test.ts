import { describe, expect, it } from "vitest";
import { smallWorld, testServer } from "../support/bench.ts";
import { formOn, postForm } from "../support/forms.ts";

describe("/builds/new", () => {
  it("leads to a chip and a board where there are none", async () => {
    const { send } = await testServer();
    const { body } = await send("GET", "/builds/new");
    expect(body).toContain("A build needs a chip and a board");
    expect(body).toContain('href="/parts/chips/new"');
  });

  it("writes down a build and goes to it", async () => {
    const server = await testServer();
    const { chip, small } = await smallWorld(server);
    const sent = await postForm(server, "/builds/new", {
      name: "Shelf",
      chipId: chip,
      boardId: small,
      cooler: "tall tower",
      firmware: "1.4",
      supplyEfficiencyPct: "91,5",
      hottestAmbientC: "",
      ruleId: "",
    });
    expect(sent.status).toBe(303);
    const id = String(sent.headers.location).split("/").at(-1);
    expect((await server.send("GET", `/api/builds/${id}`)).body).toMatchObject({
      name: "Shelf",
      cooler: "tall tower",
      case: "",
      firmware: "1.4",
      supplyEfficiencyPct: 91.5,
      hottestAmbientC: 30,
      basedOn: null,
    });
  });

  it("bases one build on another: takes its parts over and asks for the one change", async () => {
    const server = await testServer();
    const { cupboard, chip, small } = await smallWorld(server);
    await server.send("PATCH", `/api/builds/${cupboard}`, { cooler: "tall tower", note: "behind the door" });
    const { body } = await server.send("GET", `/builds/new?basedOn=${cupboard}`);
    expect(body).toContain("A build based on Cupboard");
    expect(body).toContain('value="tall tower"');
    const fields = {
      name: "Cupboard, door open",
      chipId: chip,
      boardId: small,
      basedOn: cupboard,
      cooler: "tall tower",
    };
    const silent = await postForm(server, "/builds/new", fields);
    expect(silent.status).toBe(422);
    expect(silent.body).toContain("Say what is different");
    expect(silent.body).toContain('value="Cupboard, door open"');
    const sent = await postForm(server, "/builds/new", { ...fields, change: "door open" });
    const id = String(sent.headers.location).split("/").at(-1);
    expect((await server.send("GET", `/api/builds/${id}`)).body).toMatchObject({
      basedOn: cupboard,
      change: "door open",
    });
  });
});

describe("/builds/:id/edit", () => {
  it("changes a build, refuses a nameless one and keeps what was typed", async () => {
    const server = await testServer();
    const { cupboard, chip, small } = await smallWorld(server);
    const fields = { name: "", chipId: chip, boardId: small, case: "wardrobe", version: "1" };
    const refused = await postForm(server, `/builds/${cupboard}/edit`, fields);
    expect(refused.status).toBe(422);
    expect(refused.body).toContain('value="wardrobe"');
    expect((await postForm(server, `/builds/${cupboard}/edit`, { ...fields, name: "Wardrobe" })).status).toBe(
      303,
    );
    expect((await server.send("GET", `/api/builds/${cupboard}`)).body).toMatchObject({
      name: "Wardrobe",
      case: "wardrobe",
    });
  });

  it("tells what was changed elsewhere meanwhile, and takes the next press as meant", async () => {
    const server = await testServer();
    const { cupboard, large } = await smallWorld(server);
    const page = (await server.send("GET", `/builds/${cupboard}/edit`)).body as string;
    const form = { ...formOn(page), cooler: "twin tower" };
    await server.send("PATCH", `/api/builds/${cupboard}`, { cooler: "single tower", boardId: large });
    const refused = await postForm(server, `/builds/${cupboard}/edit`, form);
    expect(refused.status).toBe(422);
    expect(refused.body).toContain("It now says “single tower”.");
    expect(refused.body).toContain("Something else is chosen now.");
    expect(refused.body).toContain('value="twin tower"');
    const again = await postForm(server, `/builds/${cupboard}/edit`, {
      ...form,
      version: formOn(refused.body).version ?? "",
    });
    expect(again.status).toBe(303);
    expect((await server.send("GET", `/api/builds/${cupboard}`)).body.cooler).toBe("twin tower");
  });

  it("refuses to write over a mount that was changed elsewhere, and says what it says now", async () => {
    const server = await testServer();
    const { cupboard } = await smallWorld(server);
    const [{ id }] = (await server.send("GET", `/api/builds/${cupboard}/mounts`)).body.items;
    const form = formOn((await server.send("GET", `/mounts/${id}`)).body);
    await server.send("PATCH", `/api/mounts/${id}`, { paste: "thin" });
    const refused = await postForm(server, `/mounts/${id}`, { ...form, paste: "thick" });
    expect(refused.status).toBe(422);
    expect(refused.body).toContain("It now says “thin”.");
    const meant = await postForm(server, `/mounts/${id}`, {
      ...form,
      paste: "thick",
      version: formOn(refused.body).version ?? "",
    });
    expect(meant.status).toBe(303);
    expect((await server.send("GET", `/api/mounts/${id}`)).body.paste).toBe("thick");
  });

  it("deletes a build nothing was recorded of, and brings it back", async () => {
    const server = await testServer();
    const { cupboard } = await smallWorld(server);
    const gone = await postForm(server, `/builds/${cupboard}/deletion`, {});
    expect((await server.send("GET", String(gone.headers.location))).body).toContain(
      `/builds/${cupboard}/restoration`,
    );
    expect((await server.send("GET", `/api/builds/${cupboard}`)).status).toBe(404);
    expect((await postForm(server, `/builds/${cupboard}/restoration`, {})).status).toBe(303);
    expect((await server.send("GET", `/api/builds/${cupboard}`)).status).toBe(200);
  });

  it("says what has to go before a build can", async () => {
    const server = await testServer();
    const { cupboard } = await smallWorld(server);
    await server.send("POST", `/api/builds/${cupboard}/noise`, { distanceM: 1, levelsDba: [40] });
    const { body } = await server.send("GET", `/builds/${cupboard}/edit`);
    expect(body).toContain("It stays while it has 1 noise reading.");
    expect((await postForm(server, `/builds/${cupboard}/deletion`, {})).status).toBe(422);
  });
});

describe("/builds/:id/mounts", () => {
  it("lists mounts, adds one and moves the attempts after it to it", async () => {
    const server = await testServer();
    const { cupboard, heavy } = await smallWorld(server);
    await server.send("POST", `/api/builds/${cupboard}/attempts`, {
      workloadId: heavy,
      clockMhz: 4600,
      voltageMv: 1200,
      outcome: "pass",
      durationS: 900,
      startedAt: "2031-05-04T12:00:00Z",
    });
    expect((await server.send("GET", `/builds/${cupboard}/mounts`)).body).toContain("with the build");
    const fields = { mountedAt: "2031-05-04 11:00 UTC", paste: "grey", note: "" };
    expect((await postForm(server, `/builds/${cupboard}/mounts`, fields)).status).toBe(303);
    const { items } = (await server.send("GET", `/api/builds/${cupboard}/mounts`)).body;
    expect(items[0]).toMatchObject({ mountedAt: "2031-05-04T11:00:00.000Z", paste: "grey" });
    const attempts = (await server.send("GET", `/api/builds/${cupboard}/attempts`)).body.items;
    expect(attempts[0].mountId).toBe(items[0].id);
  });

  it("takes a blank date for now, edits and deletes, and refuses what is no time", async () => {
    const server = await testServer();
    const { cupboard } = await smallWorld(server);
    await postForm(server, `/builds/${cupboard}/mounts`, { mountedAt: "", paste: "white" });
    const [mount, first] = (await server.send("GET", `/api/builds/${cupboard}/mounts`)).body.items;
    expect(mount.mountedAt).toBe(server.clock.now());
    const bad = await postForm(server, `/mounts/${mount.id}`, { mountedAt: "after lunch", paste: "blue" });
    expect([bad.status, bad.body.includes('value="after lunch"')]).toEqual([422, true]);
    await postForm(server, `/mounts/${first.id}`, { mountedAt: "", paste: "the maker's own" });
    expect((await server.send("GET", `/api/mounts/${first.id}`)).body).toMatchObject({
      mountedAt: null,
      paste: "the maker's own",
    });
    const gone = await postForm(server, `/mounts/${mount.id}/deletion`, {});
    expect((await server.send("GET", String(gone.headers.location))).body).toContain(
      `/mounts/${mount.id}/restoration`,
    );
    await postForm(server, `/mounts/${mount.id}/restoration`, {});
    expect((await server.send("GET", `/api/mounts/${mount.id}`)).status).toBe(200);
  });
});
