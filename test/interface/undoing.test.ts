import { describe, expect, it } from "vitest";
import { smallWorld, testServer } from "../support/bench.ts";
import { postForm } from "../support/forms.ts";
import { madeLog } from "../support/madeLog.ts";
import { madePng } from "../support/madePictures.ts";

async function world() {
  const server = await testServer();
  const made = await smallWorld(server);
  const post = async (url: string, body: object, headers = {}) =>
    (await server.send("POST", url, body, headers)).body.id as string;
  const attempt = await post(`/api/builds/${made.cupboard}/attempts`, {
    ...{ workloadId: made.heavy, clockMhz: 4600, voltageMv: 1200, outcome: "pass", durationS: 900 },
  });
  server.clock.pass(60);
  return { ...server, ...made, post, attempt };
}

describe("PUT /api/…/:id/undoing", () => {
  it("takes the latest edit of a thing of any list back, and undone again it stands again", async () => {
    const { send, post, chip, small, heavy, cupboard, attempt } = await world();
    const png = { "content-type": "image/png" };
    const requires = [{ workloadId: heavy, durationS: 600 }];
    const mountedAt = "2031-05-01T08:00:00Z";
    const edits: readonly [string, object][] = [
      [`chips/${chip}`, { tempLimitC: 90, note: "lent" }],
      [`boards/${small}`, { note: "lent" }],
      [`workloads/${heavy}`, { severity: 7 }],
      [`rules/${await post("/api/rules", { name: "Stacked", requires })}`, { name: "Stacked well" }],
      [`builds/${cupboard}`, { cooler: "tower", goal: "cool" }],
      [`mounts/${await post(`/api/builds/${cupboard}/mounts`, { mountedAt })}`, { paste: "grey" }],
      [
        `versions/${await post(`/api/builds/${cupboard}/versions`, { of: "driver", name: "1" })}`,
        { name: "2" },
      ],
      [
        `noise/${await post(`/api/builds/${cupboard}/noise`, { distanceM: 1, levelsDba: [40] })}`,
        { note: "late" },
      ],
      [`pictures/${await post(`/api/attempts/${attempt}/pictures`, madePng(), png)}`, { caption: "left" }],
      [
        `attempts/${attempt}`,
        { voltageMv: 1360, aboveCeiling: true, tags: ["hot"], correctedErrors: { cache: 2 } },
      ],
    ];
    for (const [thing, edit] of edits) {
      const read = async () => (await send("GET", `/api/${thing}`)).body;
      const { version, updatedAt: _before, ...before } = await read();
      expect((await send("PATCH", `/api/${thing}`, edit)).status, thing).toBe(200);
      const { updatedAt: _after, version: _edited, ...after } = await read();
      expect(after, thing).not.toEqual(before);
      const undone = await send("PUT", `/api/${thing}/undoing`);
      expect([undone.status, await read()], thing).toMatchObject([200, { ...before, version: version + 2 }]);
      expect((await send("PUT", `/api/${thing}/undoing`)).status, thing).toBe(200);
      expect(await read(), thing).toMatchObject(after);
    }
  });

  it("takes a set-aside back, and the putting back of one", async () => {
    const { send, attempt } = await world();
    const setAside = async () =>
      (await send("GET", `/api/attempts/${attempt}`)).body.setAside?.reason ?? null;
    await send("PUT", `/api/attempts/${attempt}/set-aside`, { reason: "a cable" });
    await send("PUT", `/api/attempts/${attempt}/undoing`);
    expect(await setAside()).toBeNull();
    await send("PUT", `/api/attempts/${attempt}/undoing`);
    expect(await setAside()).toBe("a cable");
  });

  it("is refused after a day, for what was never edited, and for what is not there", async () => {
    const { send, clock, chip, small } = await world();
    expect((await send("PUT", `/api/boards/${small}/undoing`)).status).toBe(409);
    expect((await send("PUT", `/api/boards/${chip}/undoing`)).status).toBe(404);
    await send("PATCH", `/api/chips/${chip}`, { note: "lent" });
    clock.pass(86_401);
    expect((await send("PUT", `/api/chips/${chip}/undoing`)).status).toBe(409);
    expect((await send("GET", `/api/chips/${chip}`)).body.note).toBe("lent");
  });
});

describe("a file of attempts", () => {
  it("is undone as one, and leaves what was changed since", async () => {
    const { send, cupboard, attempt } = await world();
    const csv = [
      "workload,clock MHz,voltage mV,outcome,duration s",
      "Stacking,4500,1200,pass,900",
      "Stacking,4525,1200,pass,900",
    ].join("\n");
    const { body } = await send("POST", `/api/builds/${cupboard}/attempts.csv`, csv, {
      "content-type": "text/csv",
    });
    expect(body).toMatchObject({ added: 2 });
    const [{ id, added }] = (await send("GET", "/api/merges")).body.items;
    expect(added).toBe(2);
    const listed = async () => (await send("GET", `/api/builds/${cupboard}/attempts`)).body.items;
    const kept = (await listed()).find((one: { clockMhz: number }) => one.clockMhz === 4500).id;
    await send("PATCH", `/api/attempts/${kept}`, { note: "this one stays" });
    expect((await send("DELETE", `/api/merges/${id}`)).body).toEqual({ takenBack: 1, stays: 1 });
    expect((await listed()).map((one: { id: string }) => one.id).sort()).toEqual([kept, attempt].sort());
  });
});

describe("what was replaced", () => {
  const csv = { "content-type": "text/csv" };
  const latest = async ({ send }: Awaited<ReturnType<typeof world>>) =>
    (await send("GET", "/api/merges")).body.items[0];

  it("is undone where it is a trace: another log over it, and its deletion", async () => {
    const made = await world();
    const { send, attempt, journal } = made;
    const rows = () => journal.traces.outline(attempt)?.rows;
    await send("POST", `/api/attempts/${attempt}/trace`, madeLog(300), csv);
    expect(await latest(made)).toBeUndefined();
    const whole = journal.traces.whole(attempt, ["time", "temperature"]);
    await send("POST", `/api/attempts/${attempt}/trace`, madeLog(200), csv);
    expect(rows()).toBe(200);
    const replaced = await latest(made);
    expect(replaced.replaced).toEqual({ list: "ownTraces", of: attempt });
    expect((await send("DELETE", `/api/merges/${replaced.id}`)).body).toEqual({ takenBack: 1, stays: 0 });
    expect(journal.traces.whole(attempt, ["time", "temperature"])).toEqual(whole);
    await send("DELETE", `/api/attempts/${attempt}/trace`);
    expect(rows()).toBeUndefined();
    await send("DELETE", `/api/merges/${(await latest(made)).id}`);
    expect(rows()).toBe(300);
    expect(journal.faults()).toEqual([]);
  });

  it("is undone where it is own words, and stays where they were written again since", async () => {
    const made = await world();
    const { send, cupboard, journal, clock } = made;
    const write = async (words: string) => {
      clock.pass(1);
      const fields = { "words.summary": words, "seen.summary": "The journal's." };
      await postForm(made, "/write-up/words", { builds: cupboard, use: "daily", ...fields });
    };
    const standing = () => journal.writeUpWords.of(cupboard).summary?.words;
    await write("First.");
    await write("Second.");
    const replaced = await latest(made);
    expect(replaced.replaced.list).toBe("ownWords");
    await send("DELETE", `/api/merges/${replaced.id}`);
    expect(standing()).toBe("First.");
    await write("Third.");
    const third = await latest(made);
    await write("Fourth.");
    expect((await send("DELETE", `/api/merges/${third.id}`)).body).toEqual({ takenBack: 0, stays: 1 });
    expect(standing()).toBe("Fourth.");
  });

  it("is undone where many attempts were corrected at once, but for those changed since", async () => {
    const { send, attempt, post, cupboard, heavy, clock } = await world();
    const pass = { workloadId: heavy, clockMhz: 4625, voltageMv: 1200, outcome: "pass", durationS: 900 };
    const other = await post(`/api/builds/${cupboard}/attempts`, pass);
    const third = await post(`/api/builds/${cupboard}/attempts`, { ...pass, clockMhz: 4650 });
    const ambientOf = async (id: string) => (await send("GET", `/api/attempts/${id}`)).body.ambientC;
    const ids = [attempt, other, third];
    await send("POST", "/api/attempts/corrections", { ids, field: "ambientC", value: 24 });
    const at = clock.now();
    clock.pass(5);
    await send("PATCH", `/api/attempts/${third}`, { ambientC: 25 });
    const undone = await send("POST", "/api/attempts/corrections/undoing", { at });
    expect([undone.status, undone.body]).toEqual([200, { undone: 2, stays: 1 }]);
    expect(await Promise.all(ids.map(ambientOf))).toEqual([null, null, 25]);
  });
});
