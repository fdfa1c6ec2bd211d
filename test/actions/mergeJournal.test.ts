import path from "node:path";
import { describe, expect, it } from "vitest";
import { freshJournal, type TestServer, temporaryFolder, testServer } from "../support/bench.ts";
import { madeLog } from "../support/madeLog.ts";
import { madePng } from "../support/madePictures.ts";
import {
  bothTake,
  csv,
  exported,
  form,
  gaveWay,
  hearing,
  heldTrace,
  longLog,
  pass,
  take,
  twoBenches,
  writtenApart,
} from "../support/mergingBenches.ts";

describe("mergeJournal(document, at)", () => {
  it("brings back a mount that one bench deleted while on the other an attempt ran on it, whichever hears first", async () => {
    for (const isHereFirst of [true, false]) {
      const { here, there, mount, attemptOn } = await twoBenches();
      await here.send("DELETE", `/api/mounts/${mount}`);
      const id = await attemptOn(there, "2031-05-01T12:00:00Z");
      await (isHereFirst ? bothTake(here, there) : bothTake(there, here));
      for (const { send } of [here, there]) {
        expect((await send("GET", `/api/mounts/${mount}`)).status).toBe(200);
        expect((await send("GET", `/api/attempts/${id}`)).body.mountId).toBe(mount);
      }
    }
  });

  it("brings back a mount on which an attempt that both hold came to stand, and leaves deleted one that it left", async () => {
    const { here, there, mount, attemptOn } = await twoBenches();
    const id = await attemptOn(here, "2031-04-30T12:00:00Z");
    await take(there, here);
    await here.send("DELETE", `/api/mounts/${mount}`);
    await there.send("PATCH", `/api/attempts/${id}`, { startedAt: "2031-05-01T12:00:00Z" });
    await bothTake(here, there);
    expect((await here.send("GET", `/api/attempts/${id}`)).body.mountId).toBe(mount);
    await here.send("PATCH", `/api/attempts/${id}`, { startedAt: "2031-04-30T12:00:00Z" });
    expect((await here.send("DELETE", `/api/mounts/${mount}`)).status).toBe(204);
    await bothTake(there, here);
    expect((await there.send("GET", `/api/mounts/${mount}`)).status).toBe(404);
  });

  it("keeps a build on a mount where each bench deleted the other one", async () => {
    const { here, there, world, mount } = await twoBenches();
    const items = (await here.send("GET", `/api/builds/${world.cupboard}/mounts`)).body.items as {
      id: string;
    }[];
    const first = items.find(({ id }) => id !== mount)?.id ?? "";
    await here.send("DELETE", `/api/mounts/${mount}`);
    await there.send("DELETE", `/api/mounts/${first}`);
    await bothTake(here, there);
    expect((await here.send("GET", `/api/builds/${world.cupboard}/mounts`)).body.items).toMatchObject([
      { id: first },
    ]);
  });

  it("lets the trace and the output stand that were written last, also by a bench whose clock is behind, and a trace taken away stay away", async () => {
    const { here, there, attemptOn } = await twoBenches();
    const id = await attemptOn(here, "2031-05-01T12:00:00Z");
    await here.send("POST", `/api/attempts/${id}/trace`, madeLog(600), csv);
    await here.send("PATCH", `/api/attempts/${id}`, { note: "long", output: "sum differs" });
    await take(there, here);
    await there.send("POST", `/api/attempts/${id}/trace`, madeLog(300), csv);
    await there.send("PATCH", `/api/attempts/${id}`, { note: "short", output: "all sums right" });
    await bothTake(here, there);
    expect(here.journal.traces.outline(id)?.rows).toBe(300);
    expect(here.journal.attempts.outputOf(id)).toBe("all sums right");
    await there.send("DELETE", `/api/attempts/${id}/trace`);
    await bothTake(here, there);
    expect(here.journal.traces.outline(id)).toBeUndefined();
    expect(here.journal.attempts.gaveWayOf(id)).toEqual([]);
  });

  it("keeps the trace and the output of two benches that was written last, whichever document comes again", async () => {
    const { here, there, id, early } = await writtenApart();
    for (const bench of [here, there]) {
      await bench.send("POST", "/api/import", early);
      expect(bench.journal.attempts.outputOf(id)).toBe("all sums right");
      expect(bench.journal.traces.outline(id)?.rows).toBe(600);
    }
  });

  it("keeps in the history, on every bench, the trace and the output that gave way to others written apart", async () => {
    const { here, there, id } = await writtenApart();
    const [{ body: of }, { body: alike }] = [await gaveWay(here, id), await gaveWay(there, id)];
    expect(alike).toEqual(of);
    expect(of.items).toMatchObject([{ what: "trace", rows: 300, every: 1 }, { what: "output" }]);
    await bothTake(there, here);
    await take(await hearing(there), here);
    expect((await gaveWay(here, id)).body).toEqual(of);
    const { body: page } = await here.send("GET", `/attempts/${id}`);
    expect(page).toContain("zero errors");
    expect(page).toMatch(/another trace: [^<]*300 rows/);
    const [trace, output] = of.items as { stamp: string }[];
    expect((await gaveWay(here, id, `/${output?.stamp}`)).body).toBe("zero errors");
    const values = (await gaveWay(here, id, `/${trace?.stamp}`)).body as string;
    expect(values.trim().split("\r\n")).toHaveLength(301);
    expect(values.split("\r\n")[0]).toContain("temperature (°C)");
  });

  it("lets what gave way stand again wherever it is heard of, and keeps what stood", async () => {
    const { here, there, id } = await writtenApart();
    const before = (await gaveWay(here, id)).body.items as { stamp: string }[];
    for (const { stamp } of before)
      expect((await there.send("PUT", `/api/attempts/${id}/gave-way/${stamp}/restoration`)).status).toBe(200);
    const trace = heldTrace(there, id);
    await bothTake(here, there);
    for (const { journal } of [here, there]) {
      expect(journal.traces.outline(id)?.rows).toBe(300);
      expect(journal.attempts.outputOf(id)).toBe("zero errors");
    }
    expect(heldTrace(here, id)).toEqual(trace);
    const after = (await gaveWay(here, id)).body.items;
    expect(after).toMatchObject([{ what: "output" }, { what: "trace", rows: 600 }]);
    const merges = here.journal.merges.all();
    const again = await here.send(
      "POST",
      `/attempts/${id}/gave-way/${before[0]?.stamp}/restoration`,
      "",
      form,
    );
    expect(again.status).toBe(303);
    expect(here.journal.merges.all()).toEqual(merges);
    expect((await gaveWay(here, id)).body.items).toEqual(after);
  });

  it("keeps a trace in the history that was taken away on another bench before it was heard of there", async () => {
    const { here, there, attemptOn } = await twoBenches();
    const id = await attemptOn(here, "2031-05-01T12:00:00Z");
    await here.send("POST", `/api/attempts/${id}/trace`, madeLog(200), csv);
    await take(there, here);
    await here.send("POST", `/api/attempts/${id}/trace`, madeLog(300), csv);
    there.clock.pass(10 * 86_400);
    await there.send("DELETE", `/api/attempts/${id}/trace`);
    await bothTake(here, there);
    expect(there.journal.traces.outline(id)).toBeUndefined();
    expect((await gaveWay(there, id)).body.items).toMatchObject([{ what: "trace", rows: 300 }]);
  });

  it("keeps of a long trace that gave way every so-manieth row, and the last four of each", async () => {
    const { here, there, attemptOn } = await twoBenches();
    const id = await attemptOn(here, "2031-05-01T12:00:00Z");
    await take(there, here);
    await here.send("POST", `/api/attempts/${id}/trace`, longLog(120_001), csv);
    await there.send("POST", `/api/attempts/${id}/trace`, madeLog(300), csv);
    there.clock.pass(10 * 86_400);
    await there.send("POST", `/api/attempts/${id}/trace`, madeLog(300), csv);
    await bothTake(here, there);
    const [kept] = here.journal.attempts.gaveWayOf(id);
    expect(kept).toMatchObject({ what: "trace", trace: { rows: 60_001, every: 2, fromS: 0, toS: 120_000 } });
    for (let n = 0; n < 5; n += 1) {
      await here.send("PATCH", `/api/attempts/${id}`, { output: `here ${n}` });
      await there.send("PATCH", `/api/attempts/${id}`, { output: `there ${n}` });
      await bothTake(here, there);
    }
    const outputs = here.journal.attempts
      .gaveWayOf(id)
      .flatMap((one) => (one.what === "output" ? one.output : []));
    expect(outputs).toEqual([1, 2, 3, 4].map((n) => expect.stringMatching(new RegExp(`${n}$`))));
  });

  it("blanks what gave way with its attempt, also where it is heard of later, and takes it back with the merge", async () => {
    const { here, there, id } = await writtenApart();
    const third = await hearing(there);
    const [merge] = here.journal.merges.all();
    expect((await here.send("DELETE", `/api/merges/${merge?.id}`)).status).toBe(200);
    expect(here.journal.attempts.gaveWayOf(id)).toEqual([]);
    await bothTake(here, there);
    expect(here.journal.attempts.gaveWayOf(id)).toHaveLength(2);
    const early = await exported(third);
    expect(early.gaveWay).toHaveLength(2);
    await here.send("DELETE", `/api/attempts/${id}`);
    await here.send("PUT", `/api/attempts/${id}/blanking`);
    for (const bench of [there, third]) {
      await take(bench, here);
      await bench.send("POST", "/api/import", early);
    }
    for (const bench of [here, there, third]) {
      expect(bench.journal.attempts.gaveWayOf(id)).toEqual([]);
      expect(JSON.stringify(await exported(bench))).not.toContain("zero errors");
    }
  });

  it("takes the picture and the trace of an attempt that runs elsewhere once it has ended, with it", async () => {
    const { here, there, world } = await twoBenches();
    const arm = { ...pass, workloadId: world.heavy, outcome: "running", durationS: null };
    const { id } = (await here.send("POST", `/api/builds/${world.cupboard}/attempts`, arm)).body;
    const png = { "content-type": "image/png" };
    const picture = (await here.send("POST", `/api/attempts/${id}/pictures`, madePng(), png)).body.id;
    await here.send("POST", `/api/attempts/${id}/samples`, '{"elapsedS":1,"temperature":50}\n', {
      "content-type": "application/x-ndjson",
    });
    expect(await take(there, here)).toMatchObject({ added: 0, conflicts: [{ id }] });
    expect((await there.send("GET", `/api/pictures/${picture}`)).status).toBe(404);
    await here.send("PATCH", `/api/attempts/${id}`, { outcome: "stopped", durationS: 60 });
    await bothTake(there, here);
    expect((await there.send("GET", `/api/pictures/${picture}`)).body.attemptId).toBe(id);
    expect(there.journal.traces.outline(id)?.rows).toBe(1);
  });

  it("leaves a trace as it ended where a document from while it was captured comes again", async () => {
    const { here, there, world } = await twoBenches();
    const arm = { ...pass, workloadId: world.heavy, outcome: "running", durationS: null };
    const { id } = (await here.send("POST", `/api/builds/${world.cupboard}/attempts`, arm)).body;
    const sample = (elapsedS: number) =>
      here.send("POST", `/api/attempts/${id}/samples`, `{"elapsedS":${elapsedS},"temperature":50}\n`, {
        "content-type": "application/x-ndjson",
      });
    await sample(1);
    const early = await exported(here);
    await sample(2);
    await here.send("PATCH", `/api/attempts/${id}`, { outcome: "stopped", durationS: 60 });
    await bothTake(here, there);
    const held = heldTrace(here, id);
    for (const bench of [here, there]) {
      await bench.send("POST", "/api/import", early);
      expect(heldTrace(bench, id)).toEqual(held);
      expect(bench.journal.traces.outline(id)?.rows).toBe(2);
      expect((await gaveWay(bench, id)).body.items).toEqual([]);
    }
  });

  it("leaves an output as it ended where a document from while it grew comes again", async () => {
    const { here, there, world } = await twoBenches();
    const arm = { ...pass, workloadId: world.heavy, outcome: "running", durationS: null };
    const { id } = (await here.send("POST", `/api/builds/${world.cupboard}/attempts`, arm)).body;
    await here.send("PATCH", `/api/attempts/${id}`, { output: "first pass" });
    const early = await exported(here);
    await here.send("PATCH", `/api/attempts/${id}`, {
      ...{ output: "first pass\nsecond pass", outcome: "stopped", durationS: 60 },
    });
    await bothTake(here, there);
    for (const bench of [here, there]) {
      await bench.send("POST", "/api/import", early);
      expect(bench.journal.attempts.outputOf(id)).toBe("first pass\nsecond pass");
      expect((await gaveWay(bench, id)).body.items).toEqual([]);
    }
  });

  it("lets a picture, a mount or a version put on something on one bench beat its deletion on the other", async () => {
    const { here, there, world, attemptOn } = await twoBenches();
    const id = await attemptOn(here, "2031-05-01T12:00:00Z");
    const made = async (url: string, body: object) => (await here.send("POST", url, body)).body.id as string;
    const mount = await made(`/api/builds/${world.frame}/mounts`, { mountedAt: "2031-05-01T08:00:00Z" });
    const parts = { chipId: world.chip, boardId: world.small };
    const [shelf, attic, hut] = [
      await made("/api/builds", { ...parts, name: "Shelf" }),
      await made("/api/builds", { ...parts, name: "Attic" }),
      await made("/api/builds", { ...parts, name: "Hut" }),
    ];
    await take(there, here);
    const things = [
      `attempts/${id}`,
      `mounts/${mount}`,
      `builds/${shelf}`,
      `builds/${attic}`,
      `builds/${hut}`,
    ];
    for (const thing of things) expect((await here.send("DELETE", `/api/${thing}`)).status).toBe(204);
    for (const pictured of things.slice(0, 3))
      await there.send("POST", `/api/${pictured}/pictures`, madePng(), { "content-type": "image/png" });
    await there.send("POST", `/api/builds/${attic}/mounts`, { mountedAt: "2031-05-02T08:00:00Z" });
    await there.send("POST", `/api/builds/${hut}/versions`, { of: "driver", name: "7" });
    await bothTake(here, there);
    for (const thing of things) {
      expect([thing, (await here.send("GET", `/api/${thing}`)).status]).toEqual([thing, 200]);
      expect([thing, (await there.send("GET", `/api/${thing}`)).status]).toEqual([thing, 200]);
    }
  });

  it("leaves a mount deleted where the build has another", async () => {
    const { here, there, world, mount } = await twoBenches();
    const mountsOf = async ({ send }: TestServer) =>
      (await send("GET", `/api/builds/${world.cupboard}/mounts`)).body.items.map(
        ({ id }: { id: string }) => id,
      );
    await here.send("DELETE", `/api/mounts/${mount}`);
    const left = await mountsOf(here);
    expect(left).toHaveLength(1);
    await bothTake(here, there);
    for (const bench of [here, there]) expect(await mountsOf(bench)).toEqual(left);
  });

  it("lets what was brought back on one bench beat a later deletion on the other", async () => {
    const { here, there, world } = await twoBenches();
    await there.send("DELETE", `/api/workloads/${world.light}`);
    await there.send("PUT", `/api/workloads/${world.light}/restoration`);
    await here.send("DELETE", `/api/workloads/${world.light}`);
    await bothTake(here, there);
    expect((await there.send("GET", `/api/workloads/${world.light}`)).status).toBe(200);
  });

  it("keeps both edits where a copy of the file went on under the same clock", async () => {
    const { here, attemptOn } = await twoBenches();
    const id = await attemptOn(here, "2031-05-01T12:00:00Z");
    const copy = path.join(temporaryFolder(), "copy.db");
    here.journal.backUpTo(copy);
    const there = await testServer(freshJournal(copy));
    await here.send("PATCH", `/api/attempts/${id}`, { note: "here" });
    await there.send("PATCH", `/api/attempts/${id}`, { note: "there" });
    await bothTake(here, there);
    const { items } = (await here.send("GET", `/api/attempts/${id}/history`)).body;
    expect(items.map(({ apart }: { apart: boolean }) => apart)).toEqual([true, true]);
  });
});
