import { afterEach, describe, expect, it } from "vitest";
import { type AttendedBench, attendedBench as opened, seconds, untilEnded } from "./attendedBench.ts";

const open: AttendedBench[] = [];
const attendedBench = async (more: Parameters<typeof opened>[0] = {}): Promise<AttendedBench> => {
  const bench = await opened(more);
  open.push(bench);
  return bench;
};
afterEach(async () => {
  for (const bench of open.splice(0)) await bench.close();
});

describe("an armed attempt", () => {
  it("is run to its planned time, proved, told with every reading, and passes", async () => {
    const bench = await attendedBench({ behaviour: { prints: (s) => `block ${s} good\n` } });
    await seconds(bench.machine, 3);
    expect(bench.machine.starts()).toBe(0);
    const id = await bench.arm({ plannedS: 90 });
    const ended = await untilEnded(bench, bench.machine, id);
    expect(ended).toMatchObject({
      outcome: "pass",
      durationS: 90,
      toldBy: "attendant",
      loadProved: true,
      settingReadBack: "cannot-tell",
      powerW: 120,
    });
    expect(bench.machine.starts()).toBe(1);
    const times = await bench.rows(id);
    expect(times.slice(0, 90)).toEqual(Array.from({ length: 90 }, (_, t) => t + 1));
    // It began when its load did, by the server's clock.
    const sinceArmedS =
      (Date.parse(ended.startedAt as string) - Date.parse(ended.createdAt as string)) / 1000;
    expect(sinceArmedS).toBeGreaterThanOrEqual(0);
    expect(sinceArmedS).toBeLessThanOrEqual(2);
    const { body } = await bench.server.send("GET", `/api/attempts/${id}/output`);
    expect(body.output).toContain("block 42 good");
    await seconds(bench.machine, 5);
    expect(bench.machine.storage.disk.names().filter((name) => name.endsWith(".run"))).toEqual([]);
    expect(bench.machine.starts()).toBe(1);
  });

  it("keeps with its output what the kernel said of errors, also minutes after its end", async () => {
    let words: string[] = [];
    const bench = await attendedBench({ kernelWords: () => words.splice(0) });
    const id = await bench.arm({ plannedS: 60 });
    await seconds(bench.machine, 30);
    words = ["mce: [Hardware Error]: CPU 3: Machine Check"];
    expect(await untilEnded(bench, bench.machine, id)).toMatchObject({ outcome: "pass" });
    await seconds(bench.machine, 120);
    words = ["Corrected error, no action required"];
    await seconds(bench.machine, 30);
    const { body } = await bench.server.send("GET", `/api/attempts/${id}/output`);
    expect(body.output).toMatch(/at [34]\d s the kernel said: mce: \[Hardware Error\]: CPU 3/);
    expect(body.output).toMatch(/1[23]\d s after its end the kernel said: Corrected error/);
    // Its end is still the last thing but the latest words, and said once.
    expect(body.output.match(/It ran its time/g)).toHaveLength(1);
    expect(await bench.attempt(id)).toMatchObject({ outcome: "pass", durationS: 60 });
  });

  it("that is stopped on the page ends its load within a second, and stays as it was said", async () => {
    const bench = await attendedBench();
    const id = await bench.arm({ plannedS: 600 });
    await seconds(bench.machine, 40);
    const stopped = await bench.server.send("POST", `/attempts/${id}/ending`, { outcome: "stopped" });
    expect(stopped.status).toBe(303);
    await seconds(bench.machine, 1);
    // The server goes away, and the load ends all the same.
    bench.machine.reach(false);
    await seconds(bench.machine, 2);
    expect(bench.machine.load()?.exit()).toEqual({ signal: "SIGTERM" });
    bench.machine.reach(true);
    await seconds(bench.machine, 5);
    expect(await bench.attempt(id)).toMatchObject({ outcome: "stopped", toldBy: null, loadProved: true });
  });

  it("ends at its limit of heat, or where the page names another", async () => {
    const hot = (loadedS: number | null) => ({
      tempC: loadedS === null ? 40 : 40 + loadedS / 2 + 0.1,
      powerW: 120,
    });
    const bench = await attendedBench({ reads: hot });
    const first = await untilEnded(bench, bench.machine, await bench.arm({ plannedS: 600 }));
    // The chip's limit of 95 °C less 3.
    expect(first).toMatchObject({ outcome: "too-hot", durationS: 104 });
    const named = await attendedBench({ reads: hot, wanted: { stopAtC: 60 } });
    const second = await untilEnded(named, named.machine, await named.arm({ plannedS: 600 }));
    expect(second).toMatchObject({ outcome: "too-hot", durationS: 40, peakTempC: 60.1 });
  });

  it("of a memory, or by an offset, is not held against the clock that the processor reads", async () => {
    const reads = (loadedS: number | null) => ({ tempC: 50 + (loadedS ?? 0) / 100, clockMhz: 4812 });
    const offset = { name: "Core offset", unit: "counts", step: 1, harder: "down" };
    const unread = [
      { chip: { kind: "memory", clockUnit: "MT/s" }, set: { clockMhz: 6000 }, words: "6000 MT/s at 1.200 V" },
      {
        ...{ chip: { axis: "offset", offset }, set: { clockMhz: null, voltageMv: null, offset: -20 } },
        words: "offset −20",
      },
    ];
    for (const { chip, set, words } of unread) {
      const bench = await attendedBench({ reads, chip });
      const ended = await untilEnded(bench, bench.machine, await bench.arm(set));
      expect(ended, words).toMatchObject({ outcome: "pass", settingReadBack: "cannot-tell" });
      expect(bench.machine.said.join(" ")).toContain(`Runs Stacking: ${words}.`);
    }
  });

  it("at another setting than the one asked for is said to be, and not logged as a lie", async () => {
    const reads = (loadedS: number | null) => ({ tempC: 60 + (loadedS ?? 0) / 100, clockMhz: 4000 });
    const bench = await attendedBench({ reads });
    const ended = await untilEnded(bench, bench.machine, await bench.arm());
    expect(ended).toMatchObject({ outcome: "setting-lost", settingReadBack: "differs" });
    const right = await attendedBench({ reads: (s) => ({ ...reads(s), clockMhz: 4599 }) });
    expect(await untilEnded(right, right.machine, await right.arm())).toMatchObject({
      outcome: "pass",
      settingReadBack: "confirmed",
    });
  });

  it("is left to the one who attends the build; a second is told, and may take its place once it is silent", async () => {
    const bench = await attendedBench();
    await seconds(bench.machine, 2);
    const say = (name: string) =>
      bench.server.send("PUT", `/api/attendants/${name}`, {
        buildId: bench.world.frame,
        bootId: "x",
        canRead: [],
        state: "here",
      });
    const refused = await say("bench-9");
    expect([refused.status, refused.body.error.message]).toEqual([409, expect.stringContaining("bench-2")]);
    bench.server.pass(16);
    expect((await say("bench-9")).status).toBe(200);
    expect((await bench.server.send("GET", "/api/attendants")).body.items).toMatchObject([
      { name: "bench-9" },
    ]);
  });

  it("of several builds is run by each one's own attendant", async () => {
    const bench = await attendedBench();
    const { server, world } = bench;
    const other = await attendedBench();
    expect(other.server).not.toBe(server);
    await seconds(bench.machine, 1);
    const elsewhere = await server.send("POST", `/api/builds/${world.cupboard}/attempts`, {
      ...{ workloadId: world.heavy, clockMhz: 4600, voltageMv: 1200, outcome: "running" },
    });
    await seconds(bench.machine, 5);
    expect([elsewhere.status, bench.machine.starts()]).toEqual([201, 0]);
  });

  it("is never what the server names: a command in its answer starts nothing and changes nothing", async () => {
    const bench = await attendedBench();
    const { app } = bench.server;
    expect(bench.machine.starts()).toBe(0);
    const { wordIn } = await import("../../server/attend/word.ts");
    const answered = await app.inject({
      method: "PUT",
      url: "/api/attendants/bench-2",
      payload: {
        buildId: bench.world.frame,
        bootId: "boot-1",
        canRead: [],
        state: "here",
        command: "rm -rf /",
      },
    });
    expect(answered.statusCode).toBe(400);
    const word = wordIn({
      now: "2031-05-04T13:42:00.000Z",
      chip: { tempLimitC: 95 },
      command: ["sh"],
      armed: null,
    });
    expect(JSON.stringify(word)).not.toContain("sh");
  });
});
