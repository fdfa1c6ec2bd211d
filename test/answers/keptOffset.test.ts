import path from "node:path";
import { describe, expect, it } from "vitest";
import { freshJournal, smallWorld, temporaryFolder, testServer } from "../support/bench.ts";

describe("the answer of a build that is set by offset", () => {
  it("is kept over a restart, less what failed since, and says which attempt moved it", async () => {
    const file = path.join(temporaryFolder(), "journal.db");
    let server = await testServer(freshJournal(file));
    const { small, heavy } = await smallWorld(server);
    const { body: chip } = await server.send("POST", "/api/chips", {
      ...{ name: "Dunlin", kind: "cpu", tempLimitC: 100, stockClockMhz: 4850, stockVoltageMv: 1250 },
      ...{ axis: "offset", offset: { name: "Undervolt", unit: "mV", step: 10, harder: "down" } },
    });
    const { body: build } = await server.send("POST", "/api/builds", {
      ...{ name: "Shelf", chipId: chip.id, boardId: small },
    });
    const address = `/api/builds/${build.id}`;
    let day = 0;
    const ran = async (offset: number, outcome: string, durationS: number) => {
      day += 1;
      const startedAt = new Date(Date.UTC(2031, 3, day)).toISOString();
      const sent = { workloadId: heavy, offset, outcome, durationS, startedAt };
      const kept = await server.send("POST", `${address}/attempts`, sent);
      expect(kept.status, JSON.stringify(kept.body)).toBe(201);
      return kept.body.id as string;
    };
    for (const offset of [-20, -40, -60]) await ran(offset, "pass", 3600);
    await ran(-100, "freeze", 60);
    const { body: first } = await server.send("GET", `${address}/best`);
    expect(first).toMatchObject({ reckoning: false, changedBecause: [] });
    const level = first.setting.offset as number;
    await expect.poll(() => server.journal.keptAnswers.find(build.id, aim)).toBeDefined();

    await server.app.close();
    server.journal.close();
    const journal = freshJournal(file);
    server = await testServer(journal);
    const restarted = await testServer(journal, { reckon: () => new Promise(() => undefined) });
    const html = await restarted.send("GET", `/builds/${build.id}`);
    expect(html.body).toContain(`Run −${-level}\u00a0mV`);
    expect(html.body).toContain("It is being worked out");

    const crash = await ran(-20, "freeze", 120);
    const since = await restarted.send("GET", `/builds/${build.id}`);
    expect(since.body).not.toContain(`Run −${-level}\u00a0mV`);

    const { body: moved } = await server.send("GET", `${address}/best`);
    expect(moved.setting?.offset ?? 0).toBeGreaterThan(level);
    expect(moved.changedBecause).toMatchObject([
      { attemptId: crash, words: expect.stringMatching(/^offset −20 mV \S.* after 2 min\.$/) },
    ]);
    const { body: again } = await server.send("GET", `${address}/best`);
    expect(again.changedBecause).toEqual(moved.changedBecause);
  });
});

const aim = { use: "benchmark", goal: "clock" } as const;
