import { expect, it } from "vitest";
import { attendedBench, seconds } from "./attendedBench.ts";
import { deathsTold } from "./deaths.ts";

it("every death is told once, within two seconds of the truth, and nothing runs again by itself", async () => {
  const told = await deathsTold(10, 42);
  expect(told.map(({ outcome }) => outcome)).toEqual(told.map(() => "died"));
  expect(Math.max(...told.map(({ offS }) => offS))).toBeLessThanOrEqual(2);
  expect(told.map(({ starts }) => starts)).toEqual(told.map(() => 1));
});

it("an attendant that alone was ended has stopped: its load is ended, and nothing is started", async () => {
  const bench = await attendedBench();
  const id = await bench.arm({ plannedS: 600 });
  await seconds(bench.machine, 30);
  const load = bench.machine.load();
  bench.machine.killAttendant();
  await seconds(bench.machine, 5);
  expect(load?.isGone()).toBe(false);
  bench.machine.start("attendant");
  await seconds(bench.machine, 10);
  expect(load?.isGone()).toBe(true);
  const ended = await bench.attempt(id);
  expect(ended).toMatchObject({ outcome: "stopped", toldBy: "attendant" });
  expect(ended.durationS).toBeGreaterThan(25);
  expect(bench.machine.starts()).toBe(1);
  await bench.close();
});

it("an attempt that has run already, and is in no spool of this machine, is not run again", async () => {
  const bench = await attendedBench();
  const id = await bench.arm();
  await bench.server.send("POST", `/api/attempts/${id}/heartbeats`, { elapsedS: 100 });
  await seconds(bench.machine, 10);
  expect(bench.machine.starts()).toBe(0);
  expect(bench.machine.said.join(" ")).toContain("say how it ended");
  await bench.close();
});
