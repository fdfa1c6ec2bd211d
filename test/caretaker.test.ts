import { readdirSync, rmSync, utimesSync, writeFileSync } from "node:fs";
import path from "node:path";
import { afterEach, describe, expect, inject, it } from "vitest";
import { caretakerOf } from "../server/caretaker.ts";
import { fileWorkOn } from "../server/fileWork.ts";
import { fixedClock, migrations, smallWorld, temporaryFolder, testServer } from "./support/bench.ts";

const toClose: { close(): Promise<void> }[] = [];
afterEach(async () => {
  for (const one of toClose.splice(0)) await one.close();
});

const hourMs = 3_600_000;

/** A journal with an attempt, and its caretaker. Its clock is ahead of the files' own, so that only what a test writes is new. */
async function careTaken() {
  const server = await testServer();
  const { cupboard, heavy } = await smallWorld(server);
  const draft = { workloadId: heavy, clockMhz: 4600, voltageMv: 1200, outcome: "pass", durationS: 900 };
  await server.send("POST", `/api/builds/${cupboard}/attempts`, draft);
  const { journal } = server;
  const clock = fixedClock(new Date(Date.now() + hourMs).toISOString());
  const backups = path.join(temporaryFolder(), "kept");
  const work = fileWorkOn(journal, { workers: inject("workers"), migrations, now: clock.now, backups });
  toClose.push(work);
  const complaints: unknown[] = [];
  const tick = caretakerOf(journal, work.files, (fault) => complaints.push(fault));
  const pass = async (seconds: number) => {
    for (let s = 0; s < seconds; s++) await tick();
    clock.pass(seconds);
  };
  const written = () => {
    const at = new Date(clock.now());
    utimesSync(journal.file, at, at);
  };
  const made = () => readdirSync(backups).length;
  return { journal, files: work.files, clock, backups, complaints, pass, written, made };
}

describe("the caretaker", () => {
  it("backs up a minute after the start, and again once a day is over in which something was written", async () => {
    const { clock, files, pass, written, made, complaints } = await careTaken();
    await pass(59);
    expect(files.backups()).toEqual([]);
    await pass(1);
    expect([made(), files.backups()[0]?.why]).toEqual([1, "day"]);
    await pass(180);
    clock.pass(86_400);
    await pass(120);
    expect(made()).toBe(1);
    written();
    await pass(60);
    expect(made()).toBe(2);
    written();
    clock.pass(86_400 - 300);
    await pass(120);
    expect(made()).toBe(2);
    expect(complaints).toEqual([]);
  });

  it("says why a backup could not be made, goes on, and tries again a minute later", async () => {
    const { backups, files, pass, made, complaints } = await careTaken();
    writeFileSync(backups, "in the way");
    await pass(60);
    expect(complaints).toHaveLength(1);
    expect([files.backups(), files.lastFault()]).toEqual([[], expect.stringContaining("kept")]);
    rmSync(backups);
    await pass(60);
    expect([made(), files.lastFault(), complaints.length]).toEqual([1, null, 1]);
  });

  it("backs up nothing that is empty or may not be written, and takes the log in once the journal rests", async () => {
    const { journal, files, pass } = await careTaken();
    const mark = () => journal.db.$client.pragma("user_version", { simple: true });
    expect(mark()).toBeLessThan(0);
    await pass(5);
    expect(mark()).toBeGreaterThan(0);
    expect(files.isDue()).toBe(true);
    journal.stop({ because: "damaged", words: "The journal is damaged." });
    expect(files.isDue()).toBe(false);
    await pass(60);
    expect(files.backups()).toEqual([]);
    const empty = await testServer();
    const work = fileWorkOn(empty.journal, {
      ...{ workers: inject("workers"), migrations, now: () => new Date().toISOString() },
    });
    toClose.push(work);
    expect(work.files.isDue()).toBe(false);
  });
});
