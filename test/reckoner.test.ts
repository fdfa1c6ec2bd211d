import { subscribe, unsubscribe } from "node:diagnostics_channel";
import { existsSync, writeFileSync } from "node:fs";
import path from "node:path";
import type { Worker } from "node:worker_threads";
import { afterEach, describe, expect, inject, it } from "vitest";
import { limitQuestion } from "../server/answers/limitOfBuild.ts";
import type { Reckonings } from "../server/answers/reckoned.ts";
import { Refusal } from "../server/bench/things/refusal.ts";
import { seededRandom } from "../server/numerics/seededRandom.ts";
import { reckonerIn } from "../server/reckoner.ts";
import { smallWorld, temporaryFolder, testServer } from "./support/bench.ts";

/** Nothing has been reckoned yet, so nothing is learnt. */
const nothingKept: Reckonings = {
  now: () => Promise.reject(new Error("not asked")),
  latest: () => null,
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
    if (kind === "fault") return parentPort.postMessage({ id, fault: "no such kind" });
    parentPort.postMessage({ id, answer: request });
  });`;

const toClose: { close(): Promise<void> }[] = [];
afterEach(async () => {
  for (const one of toClose.splice(0)) await one.close();
});

function reckoner(patienceMs?: number) {
  const folder = temporaryFolder();
  const file = path.join(folder, "echo.cjs");
  writeFileSync(file, script(folder));
  const complaints: string[] = [];
  const options = { complain: (fault: string) => complaints.push(fault) };
  const one = reckonerIn(file, { ...options, ...(patienceMs && { patienceMs }) });
  toClose.push(one);
  return { ...one, complaints, stumbled: () => existsSync(path.join(folder, "stumbled")) };
}

const refused = (answer: Promise<unknown>) => answer.then(() => null).catch((error: unknown) => error);

describe("a reckoner", () => {
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
    const { reckon, complaints } = reckoner(4000);
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
    const threads: Worker[] = [];
    const heard = (message: unknown) => threads.push((message as { worker: Worker }).worker);
    subscribe("worker_threads", heard);
    try {
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
    } finally {
      unsubscribe("worker_threads", heard);
    }
  });
});
