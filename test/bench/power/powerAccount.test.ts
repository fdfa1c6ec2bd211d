import { describe, expect, it } from "vitest";
import { powerAccountOf } from "../../../server/bench/power/powerAccount.ts";
import type { RunRow } from "../../../server/bench/runs/runRow.ts";
import type { Workload } from "../../../server/bench/things/workload.ts";
import { run } from "../comparison/benchDay.ts";

const load = (id: string, kind: Workload["kind"]): [string, Workload] => [
  id,
  {
    id,
    createdAt: "",
    updatedAt: "",
    version: 1,
    name: id,
    kind,
    severity: null,
    scoreUnit: null,
    scoreBetter: null,
    note: "",
  },
];
const workloads = new Map([load("all-core", "all-core"), load("light", "everyday"), load("idle", "idle")]);
const board = { corePhases: 8, phaseRatingA: 50 };
const row = (id: string, over: Partial<RunRow>): RunRow => ({
  ...run({ id, mountId: "m" }),
  voltageReadAt: null,
  loadLine: null,
  tags: [],
  ...over,
});
const climb = [4300, 4400, 4500].map((clockMhz, n) =>
  row(`${n}`, { clockMhz, powerW: 20 + clockMhz * 0.02 * 1.44 }),
);

describe("powerAccountOf", () => {
  it("looks at the load whose power was read most often, never at an idle one", () => {
    const idle = [1, 2, 3, 4, 5].map((n) => row(`i${n}`, { workloadId: "idle", powerW: 15 }));
    const light = row("l", { workloadId: "light", powerW: 60 });
    const account = powerAccountOf([...idle, light, ...climb], workloads, board);
    expect(account.workloadId).toBe("all-core");
    expect(account.points).toHaveLength(3);
    expect(powerAccountOf([...idle, light, ...climb], workloads, board, "light").points).toHaveLength(1);
  });
  it("tells a droop only where the current was read or can be told from the power", () => {
    const read = (id: string, over: Partial<RunRow>) =>
      row(id, { voltageMv: 1250, loadVoltageMv: 1200, voltageReadAt: "chip", ...over });
    const runs = [read("a", { currentA: 80 }), read("b", { currentA: null, powerW: null })];
    expect(
      powerAccountOf([...climb, ...runs], workloads, board).droops.map(({ attemptId }) => attemptId),
    ).toEqual(["a"]);
  });
  it("tells the last step by the line, so that one wrong reading does not make it free", () => {
    const wrong = climb.map((one) => (one.clockMhz === 4500 ? { ...one, powerW: one.powerW! - 6 } : one));
    const steady = [4100, 4200].map((clockMhz, n) =>
      row(`s${n}`, { clockMhz, powerW: 20 + clockMhz * 0.0288 }),
    );
    const account = powerAccountOf([...steady, ...wrong], workloads, board);
    expect(account.lastStep!.extraW).toBeCloseTo(-3.12, 2);
    expect(account.lastStepByFit!.value).toBeGreaterThan(0);
    expect(account.lastStepByFit!.high).toBeGreaterThan(account.lastStepByFit!.low!);
  });
  it("keeps readings at the wall as read, or takes off what the supply loses, and says which", () => {
    const wall = climb.map((one) => ({ ...one, powerAt: "wall" as const }));
    const kept = powerAccountOf(wall, workloads, board);
    expect(kept.wall).toMatchObject({
      supplyEfficiency: null,
      words: expect.stringContaining("kept as read"),
    });
    const behind = powerAccountOf(wall, workloads, board, null, 0.9);
    expect(behind.points[0]!.powerW).toBeCloseTo(0.9 * kept.points[0]!.powerW, 9);
    expect(behind.wall!.words).toContain("times 0.9 for the supply as stated");
    expect(powerAccountOf(climb, workloads, board, null, 0.9)).toMatchObject({ wall: null });
  });
  it("shares the highest current among the phases, worked out where it was not read", () => {
    const drawn = row("d", { powerW: 230, powerAt: "chip", loadVoltageMv: 1150, outcome: "freeze" });
    expect(powerAccountOf([...climb, drawn], workloads, board).phases).toMatchObject({
      attemptId: "d",
      currentA: 200,
      perPhaseA: 25,
      state: "ok",
    });
    expect(powerAccountOf([drawn], workloads, { corePhases: null, phaseRatingA: null }).phases).toBeNull();
  });
  it("is empty with its reason where nothing was read", () => {
    const account = powerAccountOf([row("n", {})], workloads, board);
    expect(account).toMatchObject({
      workloadId: null,
      points: [],
      lastStep: null,
      phases: null,
      score: null,
    });
    expect(account.fit).toEqual({ unknown: "No power was read yet." });
  });
  it("says that power was read on automatic voltage alone, and counts the current read there", () => {
    const automatic = row("n", { powerW: 120, currentA: 200, voltageMv: null as never });
    const account = powerAccountOf([automatic], workloads, board);
    expect(account.fit).toMatchObject({ unknown: expect.stringContaining("on automatic voltage alone") });
    expect(account).toMatchObject({ points: [], efficiency: [], phases: { currentA: 200 } });
  });
  it("tells nothing by offset of a chip that is set by clock", () => {
    expect(powerAccountOf(climb, workloads, board).byOffset).toBeNull();
  });
});
