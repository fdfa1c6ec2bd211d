import { readFileSync } from "node:fs";
import { describe, expect, it } from "vitest";
import { smallWorld, type TestServer, testServer } from "../support/bench.ts";
import { madeLog } from "../support/madeLog.ts";
import { madePng } from "../support/madePictures.ts";

const without = (document: object) => ({ ...document, exportedAt: null });
const exported = async ({ send }: TestServer) => (await send("GET", "/api/export")).body;
const pass = { clockMhz: 4600, voltageMv: 1200, outcome: "pass", durationS: 900 };
const png = { "content-type": "image/png" };

/** Two benches that hold the same, a picture and a trace with it. */
async function twoBenches() {
  const [here, there] = [await testServer(), await testServer()];
  const world = await smallWorld(here);
  const { body } = await here.send("POST", `/api/builds/${world.cupboard}/attempts`, {
    ...{ ...pass, workloadId: world.heavy },
    note: "first evening",
  });
  await here.send("POST", `/api/attempts/${body.id}/pictures`, madePng(), png);
  await here.send("POST", `/api/attempts/${body.id}/trace`, madeLog(300), { "content-type": "text/csv" });
  await there.send("POST", "/api/import", await exported(here));
  here.clock.pass(60);
  there.clock.pass(-86_400);
  return { here, there, world, attemptId: body.id as string };
}

const merged = async (into: TestServer, from: TestServer) => {
  const { body } = await into.send("POST", "/api/import", await exported(from));
  const [merge] = (await into.send("GET", "/api/merges")).body.items;
  return { body, id: merge.id as string, merge };
};

describe("DELETE /api/merges/:id", () => {
  it("takes a journal back to before the merge, whole, and merging again brings all of it again", async () => {
    const { here, there, world, attemptId } = await twoBenches();
    await there.send("PATCH", `/api/attempts/${attemptId}`, { note: "edited there" });
    await there.send("PATCH", `/api/chips/${world.chip}`, { tempLimitC: 90 });
    await there.send("DELETE", `/api/workloads/${world.light}`);
    await there.send("DELETE", `/api/attempts/${attemptId}/trace`);
    await there.send("POST", `/api/builds/${world.frame}/attempts`, { ...pass, workloadId: world.heavy });
    await there.send("POST", `/api/builds/${world.frame}/mounts`, { mountedAt: "2031-05-01T10:00:00Z" });
    await there.send("POST", `/api/builds/${world.frame}/pictures`, madePng(), png);
    const board = await there.send("POST", "/api/boards", { name: "Quay M" });
    await there.send("POST", "/api/builds", { name: "Shelf", chipId: world.chip, boardId: board.body.id });
    const before = without(await exported(here));
    const { id, merge, body } = await merged(here, there);
    expect(merge).toMatchObject({ added: body.added, updated: body.updated });
    expect(body).toMatchObject({ added: 6, conflicts: [] });
    const after = without(await exported(here));
    expect(after).not.toEqual(before);
    const undone = await here.send("DELETE", `/api/merges/${id}`);
    expect([undone.status, undone.body.stays]).toEqual([200, 0]);
    expect(without(await exported(here))).toEqual(before);
    expect(here.journal.faults()).toEqual([]);
    expect((await here.send("GET", "/api/merges")).body.items).toEqual([]);
    expect((await here.send("DELETE", `/api/merges/${id}`)).status).toBe(404);
    await merged(here, there);
    expect(without(await exported(here))).toEqual(after);
  });

  it("leaves what was changed here since, with all that it stands on", async () => {
    const { here, there, world, attemptId } = await twoBenches();
    await there.send("PATCH", `/api/attempts/${attemptId}`, { note: "edited there" });
    const load = (await there.send("POST", "/api/workloads", { name: "Long sums", kind: "all-core" })).body
      .id;
    const build = { name: "Shelf", chipId: world.chip, boardId: world.large };
    const shelf = (await there.send("POST", "/api/builds", build)).body.id;
    const { id } = await merged(here, there);
    await here.send("POST", `/api/builds/${shelf}/attempts`, { ...pass, workloadId: load });
    await here.send("PATCH", `/api/attempts/${attemptId}`, { score: 7 });
    const { body } = await here.send("DELETE", `/api/merges/${id}`);
    expect(body).toEqual({ takenBack: 0, stays: 4 });
    expect((await here.send("GET", `/api/builds/${shelf}/attempts`)).body.items).toHaveLength(1);
    expect((await here.send("GET", `/api/attempts/${attemptId}`)).body).toMatchObject({
      note: "edited there",
      score: 7,
    });
    expect(here.journal.faults()).toEqual([]);
  });

  it("leaves a mount that came and has had a picture here since, and takes one back that has none", async () => {
    const { here, there, world } = await twoBenches();
    const come = async (day: number): Promise<string> =>
      (
        await there.send("POST", `/api/builds/${world.frame}/mounts`, {
          mountedAt: `2031-05-0${day}T10:00:00Z`,
        })
      ).body.id;
    const [pictured, bare] = [await come(1), await come(2)];
    const { id } = await merged(here, there);
    const picture = await here.send("POST", `/api/mounts/${pictured}/pictures`, madePng(), png);
    expect((await here.send("DELETE", `/api/merges/${id}`)).body.stays).toBe(1);
    const mounts = (await here.send("GET", `/api/builds/${world.frame}/mounts`)).body.items;
    const ids = mounts.map((mount: { id: string }) => mount.id);
    expect([ids.includes(pictured), ids.includes(bare)]).toEqual([true, false]);
    expect((await here.send("GET", `/api/pictures/${picture.body.id}`)).status).toBe(200);
  });

  it("leaves what a picture stands on that came with it and was captioned here since", async () => {
    const { here, there, world } = await twoBenches();
    const made = async (address: string, body: object): Promise<string> =>
      (await there.send("POST", address, body)).body.id;
    const mount = await made(`/api/builds/${world.frame}/mounts`, { mountedAt: "2031-05-01T10:00:00Z" });
    const attempt = await made(`/api/builds/${world.cupboard}/attempts`, {
      ...pass,
      workloadId: world.heavy,
    });
    const things = [`mounts/${mount}`, `attempts/${attempt}`];
    for (const thing of things) await there.send("POST", `/api/${thing}/pictures`, madePng(), png);
    const { id } = await merged(here, there);
    for (const thing of things) {
      const [picture] = (await here.send("GET", `/api/${thing}/pictures`)).body.items;
      await here.send("PATCH", `/api/pictures/${picture.id}`, { caption: "paste spread to the edge" });
    }
    expect((await here.send("DELETE", `/api/merges/${id}`)).body.stays).toBe(4);
    for (const thing of things)
      expect((await here.send("GET", `/api/${thing}/pictures`)).body.items, thing).toMatchObject([
        { caption: "paste spread to the edge" },
      ]);
    expect(here.journal.faults()).toEqual([]);
  });

  it("is refused after a day, and a merge that brought nothing is none", async () => {
    const { here, there, attemptId } = await twoBenches();
    await here.send("POST", "/api/import", await exported(there));
    expect((await here.send("GET", "/api/merges")).body.items).toEqual([]);
    await there.send("PATCH", `/api/attempts/${attemptId}`, { note: "edited there" });
    const { id } = await merged(here, there);
    here.clock.pass(86_401);
    const late = await here.send("DELETE", `/api/merges/${id}`);
    expect([late.status, late.body.error.message]).toEqual([
      409,
      expect.stringContaining("more than a day old"),
    ]);
    expect((await here.send("GET", `/api/attempts/${attemptId}`)).body.note).toBe("edited there");
  });
});

describe("PUT /api/attempts/:id/blanking", () => {
  it("takes the words, picture, trace and history of a deleted attempt out of the file, and travels", async () => {
    const { here, there, attemptId } = await twoBenches();
    const key = { "idempotency-key": "evening" };
    await here.send("PATCH", `/api/attempts/${attemptId}`, { note: "a private remark" }, key);
    await merged(there, here);
    expect((await here.send("PUT", `/api/attempts/${attemptId}/blanking`)).status).toBe(409);
    await here.send("DELETE", `/api/attempts/${attemptId}`);
    await there.send("PATCH", `/api/attempts/${attemptId}`, { tags: ["private too"] });
    expect((await here.send("PUT", `/api/attempts/${attemptId}/blanking`)).status).toBe(204);
    expect((await here.send("PUT", `/api/attempts/${attemptId}/blanking`)).status).toBe(204);
    const left = (server: TestServer) => {
      server.journal.settle();
      return readFileSync(server.journal.file).includes("private");
    };
    expect(left(here)).toBe(false);
    expect(left(there)).toBe(true);
    await merged(there, here);
    await merged(here, there);
    for (const server of [here, there]) {
      const document = await exported(server);
      expect(JSON.stringify(document)).not.toMatch(/private|first evening/);
      expect([document.traces, document.pictures]).toEqual([[], []]);
      expect(left(server)).toBe(false);
      expect(server.journal.faults()).toEqual([]);
    }
    expect(without(await exported(here))).toEqual(without(await exported(there)));
  });

  it("takes what a build was made of out of the file, also where its attempts tell of it and where it is heard of later", async () => {
    const { here, there, world } = await twoBenches();
    await here.send("PATCH", `/api/builds/${world.cupboard}`, { case: "private drawer" });
    const ran = { ...pass, workloadId: world.heavy };
    const { id: drawer } = (await here.send("POST", `/api/builds/${world.cupboard}/attempts`, ran)).body;
    await here.send("PATCH", `/api/builds/${world.cupboard}`, { case: "private shelf" });
    const early = await exported(here);
    await merged(there, here);
    await there.send("PATCH", `/api/attempts/${drawer}`, { note: "looked at again" });
    await merged(here, there);
    for (const { id } of (await here.send("GET", `/api/builds/${world.cupboard}/attempts`)).body.items)
      await here.send("DELETE", `/api/attempts/${id}`);
    await here.send("DELETE", `/api/builds/${world.cupboard}`);
    expect((await here.send("PUT", `/api/builds/${world.cupboard}/blanking`)).status).toBe(204);
    const hears = async (server: TestServer, document: unknown) =>
      expect((await server.send("POST", "/api/import", document)).status).toBe(200);
    await hears(here, early);
    await hears(there, await exported(here));
    await hears(there, early);
    for (const { journal } of [here, there]) {
      journal.settle();
      expect(readFileSync(journal.file).includes("private")).toBe(false);
      expect(journal.faults()).toEqual([]);
    }
    expect(JSON.stringify(await exported(there))).not.toContain("private");
    expect(without(await exported(there))).toEqual(without(await exported(here)));
  });

  it("takes every word of a chip and leaves what figures are told by: knobs, places, parts and the offset", async () => {
    const { send, journal } = await testServer();
    const told = {
      axis: "offset",
      offset: { name: "Undervolt", unit: "mV", step: 5, harder: "down" },
      knobs: [{ id: "load-line", name: "Load-line", harder: "none", belongs: "setting" }],
      parts: [{ name: "core 1", kernel: "cpu0" }],
      limits: { hotspot: 105 },
    };
    const chip = await send("POST", "/api/chips", {
      ...{ name: "Private 1", kind: "memory", tempLimitC: 95, model: "private model", note: "private note" },
      ...{ voltageName: "private rail", modules: { count: 2, ranks: 1, slots: "private slots" } },
      ...told,
    });
    expect(chip.status).toBe(201);
    await send("DELETE", `/api/chips/${chip.body.id}`);
    expect((await send("PUT", `/api/chips/${chip.body.id}/blanking`)).status).toBe(204);
    const { deleted } = (await send("GET", "/api/export")).body;
    expect(deleted[0].thing).toMatchObject({ ...told, name: "Blanked", voltageName: null, modules: null });
    journal.settle();
    expect(
      readFileSync(journal.file)
        .toString()
        .match(/private \w+/gi),
    ).toBeNull();
  });

  it("answers 404 for what was never there, of every list", async () => {
    const { send } = await testServer();
    for (const list of ["chips", "builds", "attempts", "pictures", "noise"])
      expect((await send("PUT", `/api/${list}/01c2aedc-0ce0-7000-8000-000000000001/blanking`)).status).toBe(
        404,
      );
  });
});
