import { existsSync, writeFileSync } from "node:fs";
import path from "node:path";
import { afterEach, describe, expect, inject, it } from "vitest";
import { limitQuestion } from "../server/answers/limitOfBuild.ts";
import type { Demand, Reckonings } from "../server/answers/reckoned.ts";
import { Refusal } from "../server/bench/things/refusal.ts";
import { seededRandom } from "../server/numerics/seededRandom.ts";
import { type ReckonerOptions, reckonerIn } from "../server/reckoner.ts";
import { migrations, smallWorld, temporaryFolder, testServer } from "./support/bench.ts";
import { withThreads } from "./support/threads.ts";

/** Nothing has been reckoned yet, so nothing is learnt. */
const nothingKept: Reckonings = {
  now: () => Promise.reject(new Error("not asked")),
  latest: () => null,
  inTurn: () => null,
  hasFailed: () => false,
};

/** A thread that answers with what it is asked, dies over "die", dies once over "stumble", and never answers "stick". */
const script = (folder: string) => `
  const { existsSync, writeFileSync } = require("node:fs");
  const { parentPort } = require("node:worker_threads");
  const mark = ${JSON.stringify(path.join(folder, "stumbled"))};
  parentPort.on("message", ({ id, kind, request }) => {
    if (kind === "die") process.exit(1);
    if (kind === "stumble" && !existsSync(mark)) { writeFileSync(mark, ""); throw new Error("stumbled"); }
    if (kind === "stick") for (;;);
    if (kind === "write") { Atomics.wait(new Int32Array(new SharedArrayBuffer(4)), 0, 0, 300); writeFileSync(mark, ""); }
    if (kind === "which") return parentPort.postMessage({ id, answer: require("node:worker_threads").threadId });
    if (kind === "fault") return parentPort.postMessage({ id, fault: "no such kind" });
    parentPort.postMessage({ id, answer: request });
  });`;

const toClose: { close(): Promise<void> }[] = [];
afterEach(async () => {
  for (const one of toClose.splice(0)) await one.close();
});

type Times = Pick<ReckonerOptions, "patienceMs" | "lingerMs" | "idleMs">;

function reckoner({ patienceMs, lingerMs, idleMs }: Times = {}) {
  const folder = temporaryFolder();
  const file = path.join(folder, "echo.cjs");
  writeFileSync(file, script(folder));
  const complaints: string[] = [];
  const options = { complain: (fault: string) => complaints.push(fault) };
  const one = reckonerIn(file, {
    ...options,
    ...(patienceMs && { patienceMs }),
    ...(lingerMs && { lingerMs }),
    ...(idleMs && { idleMs }),
  });
  toClose.push(one);
  return { ...one, complaints, stumbled: () => existsSync(path.join(folder, "stumbled")) };
}

const reckonedAfter = async (reckon: ReturnType<typeof reckonerIn>["reckon"], ms: number) => {
  await new Promise((resolve) => setTimeout(resolve, ms));
  return reckon("which", null);
};

const refused = (answer: Promise<unknown>) => answer.then(() => null).catch((error: unknown) => error);

describe("a reckoner", () => {
  it("ends a thread that was asked nothing for a while, and starts another with the next question", async () => {
    const { reckon, complaints } = reckoner({ idleMs: 200 });
    const first = await reckon("which", null);
    expect(await reckon("which", null)).toBe(first);
    await expect.poll(() => reckonedAfter(reckon, 400), { timeout: 20_000 }).not.toBe(first);
    expect(complaints).toEqual([]);
  });

  it("leaves a thread in peace that is still at something", async () => {
    const { reckon } = reckoner({ idleMs: 50 });
    const all = [reckon("which", null), reckon("write", 3), reckon("which", null)];
    const [first, , last] = await Promise.all(all);
    expect(last).toBe(first);
  });

  it("asks another thread what one that died still owed", async () => {
    const { reckon, stumbled, complaints } = reckoner();
    const answers = [reckon("say", 1), reckon("stumble", 2), reckon("say", 3)];
    expect(await Promise.all(answers)).toEqual([1, 2, 3]);
    expect([stumbled(), complaints]).toEqual([true, []]);
  });

  it("gives back in a sentence the question that kills, and answers those behind it", async () => {
    const { reckon, complaints } = reckoner();
    const [killing, behind] = [refused(reckon("die", 1)), reckon("say", 2)];
    const words = await killing;
    expect(words).toBeInstanceOf(Refusal);
    expect((words as Refusal).message).toContain("could not be worked out");
    expect([await behind, await reckon("say", 3)]).toEqual([2, 3]);
    expect(complaints).toEqual(["The thread ended before its time."]);
  });

  it("gives back in a sentence the question that is stuck, and answers those behind it", async () => {
    const { reckon, complaints } = reckoner({ patienceMs: 4000 });
    const [stuck, behind] = [refused(reckon("stick", 1)), reckon("say", 2)];
    expect(await stuck).toBeInstanceOf(Refusal);
    expect(await behind).toBe(2);
    expect(complaints).toEqual(["It took too long."]);
  });

  it("gives back in a sentence what the thread could not answer, and keeps the fault", async () => {
    const { reckon, complaints } = reckoner();
    expect(await refused(reckon("fault", 1))).toBeInstanceOf(Refusal);
    expect(complaints).toEqual(["no such kind"]);
    expect(await reckon("say", 2)).toBe(2);
  });

  it("answers what is waited for first, in order, then what nothing is shown for, then what was asked last, and leaves what is outdated", async () => {
    const { reckon, complaints } = reckoner();
    const order: unknown[] = [];
    const asks = (request: string, demand: Demand) =>
      reckon("say", request, () => demand).then((answer) => order.push(answer));
    const first = asks("shown first", "wanted");
    const outdated = refused(reckon("say", "outdated", () => "outdated"));
    const others = [asks("shown", "wanted"), asks("lacking", "lacking"), asks("lacking now", "lacking")];
    others.push(asks("shown now", "wanted"));
    others.push(asks("waited for", "awaited"), asks("waited for next", "awaited"));
    await Promise.all([first, ...others]);
    const wanted = ["lacking now", "lacking", "shown now", "shown", "shown first"];
    expect(order).toEqual(["waited for", "waited for next", ...wanted]);
    expect([((await outdated) as Error).message, complaints]).toEqual([
      "The record has moved on from this question.",
      [],
    ]);
  });

  it("sends what nobody waits for a moment later, after whoever asked has been answered", async () => {
    const { reckon } = reckoner();
    await reckon("say", "the thread has started");
    let copied = false;
    const request = {
      get telling() {
        copied = true;
        return "laid out";
      },
    };
    const shown = reckon("say", request, () => "wanted");
    await new Promise((resolve) => setImmediate(resolve));
    expect(copied).toBe(false);
    expect(await shown).toEqual({ telling: "laid out" });
  });

  it("lets a thread that is at a file finish what it is at when it is closed, where it may", async () => {
    for (const lingerMs of [0, 60_000]) {
      const { reckon, close, stumbled } = reckoner({ lingerMs });
      await reckon("say", 1);
      const writing = refused(reckon("write", 2));
      const behind = refused(reckon("say", 3));
      await close();
      expect([(await writing) instanceof Error, (await behind) instanceof Error]).toEqual([true, true]);
      expect(stumbled()).toBe(lingerMs > 0);
    }
  });

  it("gives a fit for every question, though its thread is killed at any moment", async () => {
    const server = await testServer();
    const { cupboard, heavy } = await smallWorld(server);
    for (const [clockMhz, outcome] of [
      [4500, "pass"],
      [4550, "pass"],
      [4600, "freeze"],
      [4650, "freeze"],
    ] as const)
      await server.send("POST", `/api/builds/${cupboard}/attempts`, {
        ...{ workloadId: heavy, clockMhz, voltageMv: 1200, outcome, durationS: 900 },
      });
    await withThreads(async (threads) => {
      const fits = reckonerIn(path.join(inject("workers"), "limitFit.cjs"));
      toClose.push(fits);
      const { request } = limitQuestion(server.journal, { buildId: cupboard });
      const whole = await fits.reckon("limit", request(nothingKept));
      const random = seededRandom(1);
      for (let round = 0; round < 12; round += 1) {
        const answer = fits.reckon("limit", request(nothingKept));
        await new Promise((resolve) => setTimeout(resolve, 60 * random.uniform()));
        await threads.at(-1)?.terminate();
        expect(await answer).toEqual(whole);
      }
      expect(threads.length).toBeGreaterThan(8);
    });
  });

  it("reads every heat run, though its thread is killed at any moment", async () => {
    const server = await testServer();
    const { cupboard, heavy } = await smallWorld(server);
    const draft = { workloadId: heavy, clockMhz: 4600, voltageMv: 1200, outcome: "pass", durationS: 7200 };
    const { body: attempt } = await server.send("POST", `/api/builds/${cupboard}/attempts`, draft);
    const log = `Time [s],CPU temp [°C]\n${Array.from({ length: 7200 }, (_, s) => `${s},${(80 - 45 * Math.exp(-s / 300)).toFixed(1)}\n`).join("")}`;
    await server.send("POST", `/api/attempts/${attempt.id}/trace`, log, { "content-type": "text/csv" });
    await withThreads(async (threads) => {
      const heat = reckonerIn(path.join(inject("workers"), "heatRuns.cjs"));
      toClose.push(heat);
      const asked = {
        journalFile: server.journal.file,
        migrations,
        attemptId: attempt.id,
        asked: {},
        state: [],
      };
      const whole = await heat.reckon("heat", asked);
      expect(whole).toMatchObject({ heat: expect.anything(), figures: expect.anything() });
      const random = seededRandom(2);
      for (let round = 0; round < 12; round += 1) {
        const answer = heat.reckon("heat", asked);
        await new Promise((resolve) => setTimeout(resolve, 150 * random.uniform()));
        await threads.at(-1)?.terminate();
        expect(await answer).toEqual(whole);
      }
      expect(threads.length).toBeGreaterThan(8);
    });
  });
});
