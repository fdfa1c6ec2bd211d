import { describe, expect, it } from "vitest";
import { smallWorld, type TestServer, testServer } from "../../support/bench.ts";
import { formOn, postForm } from "../../support/forms.ts";

/** A pass of a quarter of an hour on the cupboard build, and its page. */
async function onePass(server: TestServer) {
  const world = await smallWorld(server);
  await server.send("PATCH", `/api/builds/${world.cupboard}`, { cooler: "twin tower", firmware: "1.07" });
  const { body } = await server.send("POST", `/api/builds/${world.cupboard}/attempts`, {
    workloadId: world.heavy,
    clockMhz: 4600,
    voltageMv: 1200,
    outcome: "pass",
    durationS: 900,
    plannedS: 900,
    ambientC: 22,
    loadTempC: 83,
  });
  const id = body.id as string;
  const read = async () => (await server.send("GET", `/api/attempts/${id}`)).body;
  const page = async () => (await server.send("GET", `/attempts/${id}`)).body as string;
  return { ...world, id, read, page };
}

describe("GET /attempts/:id", () => {
  it("says what is known, what the build was made of then, and what was not written down", async () => {
    const server = await testServer();
    const { page, cupboard } = await onePass(server);
    await server.send("PATCH", `/api/builds/${cupboard}`, { firmware: "1.08" });
    const html = await page();
    expect(html.match(/<h1/g)).toHaveLength(1);
    expect(html).toMatch(/passed.*after 15 min/s);
    for (const fact of ["Stacking", "83\u00a0°C", "twin tower", "1.07 (changed since)"])
      expect(html).toContain(fact);
    expect(html).toMatch(/\d+ fields not written down.*hottest/);
    expect(html).not.toContain("1.08");
  });

  it("shows what the load printed, as it is and as nothing else", async () => {
    const server = await testServer();
    const { id, page } = await onePass(server);
    expect(await page()).not.toContain("printed");
    const output = "block 1 good\n<b>block 2</b> & so on\n— It ran its time.";
    expect((await server.send("PATCH", `/api/attempts/${id}`, { output })).status).toBe(200);
    expect(await page()).toMatch(
      /What its load printed.*block 1 good\n&lt;b>block 2&lt;\/b> &amp; so on\n— It ran its time\./s,
    );
  });

  it("answers what is not there with 404", async () => {
    const server = await testServer();
    expect((await server.send("GET", "/attempts/0197f000-0000-7000-8000-00000000dead")).status).toBe(404);
    expect((await server.send("GET", "/attempts/nonsense")).status).toBe(404);
  });
});

describe("correcting an attempt", () => {
  it("sent as it stands changes nothing", async () => {
    const server = await testServer();
    const { id, page, read } = await onePass(server);
    const before = await read();
    const sent = await postForm(server, `/attempts/${id}`, formOn(await page()));
    expect(sent.status).toBe(303);
    const { version: _, updatedAt: __, ...after } = await read();
    expect(before).toMatchObject(after);
    expect((await server.send("GET", `/api/attempts/${id}/history`)).body.items).toEqual([]);
  });

  it("keeps what it was before in the history", async () => {
    const server = await testServer();
    const { id, page, read } = await onePass(server);
    await postForm(server, `/attempts/${id}`, {
      ...formOn(await page()),
      loadTempC: "84,5",
      note: "read again",
    });
    expect(await read()).toMatchObject({ loadTempC: 84.5, note: "read again", clockMhz: 4600 });
    expect(await page()).toMatch(/load temperature: 83\u00a0°C → 84\.5\u00a0°C/);
  });

  it("refuses a peak below the load temperature beside the field, keeps what was typed and changes nothing", async () => {
    const server = await testServer();
    const { id, page, read } = await onePass(server);
    const before = await read();
    const refused = await postForm(server, `/attempts/${id}`, {
      ...formOn(await page()),
      peakTempC: "70",
      note: "half typed",
    });
    expect(refused.status).toBe(422);
    expect(refused.body).toContain('id="field-peakTempC-error"');
    expect(refused.body).toContain("half typed");
    expect(await read()).toEqual(before);
  });

  it("refuses an edit of what was changed elsewhere since", async () => {
    const server = await testServer();
    const { id, page, read } = await onePass(server);
    const form = formOn(await page());
    await server.send("PATCH", `/api/attempts/${id}`, { note: "from the phone" });
    const refused = await postForm(server, `/attempts/${id}`, { ...form, note: "from the desk" });
    expect(refused.status).toBe(422);
    expect(refused.body).toContain("changed elsewhere");
    expect(refused.body).toContain("from the desk");
    expect((await read()).note).toBe("from the phone");
    expect(refused.body).toContain("It now says “from the phone”.");
    const meant = await postForm(server, `/attempts/${id}`, {
      ...formOn(refused.body),
      note: "from the desk",
    });
    expect(meant.status).toBe(303);
    expect((await read()).note).toBe("from the desk");
  });

  it("still expects the version first read after a refusal for another reason", async () => {
    const server = await testServer();
    const { id, page, read } = await onePass(server);
    const form = formOn(await page());
    await server.send("PATCH", `/api/attempts/${id}`, { note: "from the phone" });
    const mistyped = await postForm(server, `/attempts/${id}`, { ...form, clockMhz: "fast" });
    expect(mistyped.status).toBe(422);
    const mended = await postForm(server, `/attempts/${id}`, { ...formOn(mistyped.body), clockMhz: "4600" });
    expect(mended.status).toBe(422);
    expect(mended.body).toContain("changed elsewhere");
    expect((await read()).note).toBe("from the phone");
  });

  it("asks before a voltage above the ceiling", async () => {
    const server = await testServer();
    const { id, page, read } = await onePass(server);
    const high = { ...formOn(await page()), voltageMv: "1.4" };
    const asked = await postForm(server, `/attempts/${id}`, high);
    expect(asked.status).toBe(422);
    expect(asked.body).toContain('name="aboveCeiling"');
    expect((await read()).voltageMv).toBe(1200);
    const meant = await postForm(server, `/attempts/${id}`, { ...high, aboveCeiling: "1.4" });
    expect(meant.status).toBe(303);
    expect(await read()).toMatchObject({ voltageMv: 1400, aboveCeiling: true });
  });

  it("takes what was read right after the run, and leads back to the bench", async () => {
    const server = await testServer();
    const { id, read, cupboard } = await onePass(server);
    const kept = await postForm(server, `/attempts/${id}`, { back: "bench", peakTempC: "86" });
    expect(kept.headers.location).toBe(`/?build=${cupboard}&kept=${id}`);
    expect(await read()).toMatchObject({ peakTempC: 86, loadTempC: 83 });
  });
});

describe("setting aside, deleting and bringing back", () => {
  it("wants a reason, then says it wherever the attempt shows, and puts it back", async () => {
    const server = await testServer();
    const { id, page, read, cupboard } = await onePass(server);
    const refused = await postForm(server, `/attempts/${id}/set-aside`, { reason: "  " });
    expect(refused.status).toBe(422);
    expect(refused.body).toContain('id="field-reason-error"');
    expect((await read()).setAside).toBeNull();
    await postForm(server, `/attempts/${id}/set-aside`, { reason: "loose cable" });
    expect(await page()).toContain("loose cable");
    expect((await server.send("GET", `/?build=${cupboard}`)).body).toContain("set aside: loose cable");
    await postForm(server, `/attempts/${id}/put-back`, {});
    expect((await read()).setAside).toBeNull();
  });

  it("deletes with a way back on the bench and at the old address", async () => {
    const server = await testServer();
    const { id, read } = await onePass(server);
    const deleted = await postForm(server, `/attempts/${id}/deletion`, {});
    expect(deleted.status).toBe(303);
    const bench = await server.send("GET", String(deleted.headers.location));
    expect(bench.body).toContain(`action="/attempts/${id}/restoration"`);
    const old = await server.send("GET", `/attempts/${id}`);
    expect(old.status).toBe(404);
    expect(old.body).toContain("Bring it back");
    await postForm(server, `/attempts/${id}/restoration`, {});
    expect((await read()).outcome).toBe("pass");
  });
});
