import { expect, it } from "vitest";
import { oneOf, saidOf } from "./chosen.ts";
import { unchangedBench } from "./unchangedBench.ts";

/** A set of memory at two rates, its first timing tightened, trained anew now and then. */
async function memoryBench(seed: number) {
  const bench = await unchangedBench(seed);
  const { made, tried, random } = bench;
  const knob = { unit: "", step: 1, harder: "down", belongs: "setting" };
  const chipId = await made("/api/chips", {
    ...{ name: "Set A", kind: "memory", tempLimitC: 85, clockUnit: "MT/s", voltageName: "Module voltage" },
    ...{ stockClockMhz: 5200, stockVoltageMv: 1100, voltageCeilingMv: 1450, voltageStepMv: 10 },
    ...{ clockGrid: [4800, 5200, 5600, 6000, 6200, 6400], modules: { count: 2, ranks: 1, slots: "A2, B2" } },
    knobs: [
      { id: "cl", name: "CL", ...knob, usual: 40 },
      { id: "trcd", name: "tRCD", ...knob, usual: 40 },
      {
        ...{ id: "vddq", name: "I/O voltage", unit: "V", step: 0.01, harder: "none", belongs: "setting" },
        ...{ usual: 1.1, ceiling: 1.4 },
      },
    ],
  });
  const boardId = await made("/api/boards", { name: "Quay L" });
  const load = await made("/api/workloads", { name: "Copy and check", kind: "memory", severity: 5 });
  const rule = await made("/api/rules", {
    name: "Three trainings",
    requires: [{ workloadId: load, durationS: 900, cycles: 3, trainings: 3, coldStarts: 1 }],
  });
  const build = await made("/api/builds", { name: "Set A on Quay L", chipId, boardId, ruleId: rule });
  for (let i = 0; i < 40; i += 1) {
    const clockMhz = oneOf(random, [5600, 6000, 6000, 6200, 6400]);
    const cl = 28 + random.index(9);
    const voltageMv = oneOf(random, [1250, 1350, 1350, 1400]);
    const past = (clockMhz - 6050) / 120 + (33 - cl) / 2 - (voltageMv - 1350) / 60;
    const minutes = oneOf(random, [15, 20, 45]);
    const failsAfterS = Math.round((3600 * random.exponential()) / Math.exp(1.8 * past));
    const failed = failsAfterS < minutes * 60;
    const roomC = 21 + random.index(4);
    await tried(build, {
      ...{ workloadId: load, clockMhz, voltageMv, knobs: { cl, trcd: cl + random.index(3), vddq: 1.2 } },
      outcome: failed ? (failsAfterS < 90 ? "no-start" : oneOf(random, ["wrong-result", "freeze"])) : "pass",
      durationS: failed ? failsAfterS : minutes * 60,
      ...saidOf(random, {
        ambientC: [0.8, roomC],
        loadTempC: [0.8, roomC + 24 + random.index(5)],
        training: [0.8, oneOf(random, ["full", "full", "stored", "unknown"])],
        starts: [0.4, { tried: 5, up: 5 - random.index(2) }],
        cycles: [0.6, Math.floor(minutes / 5)],
        coveragePct: [0.3, 100 * Math.floor(minutes / 5)],
        startKind: [0.6, oneOf(random, ["cold", "warm", "restart"])],
        errors: [failed ? 0.7 : 0, [{ atS: Math.min(failsAfterS, 61), module: oneOf(random, ["A2", "B2"]) }]],
      }),
    });
  }
  return { bench, build, rule };
}

it.each([5, 6])("a set of memory, drawn the %dth time, is answered for as before", async (seed) => {
  const { bench, build, rule } = await memoryBench(seed);
  await bench.ask(
    ...[
      ...[
        "best",
        "best?use=daily",
        "best?knob=cl",
        "next",
        "next?knob=cl",
        "next?clockMhz=6000",
        "next?minutes=60",
      ],
      ...["frontier", `frontier?rule=${rule}`, "limit", "limit?targetMhz=6200", "attempts.csv"],
    ].map((what) => `/api/builds/${build}/${what}`),
    `/api/write-up?builds=${build}`,
  );
  await bench.read(`/?build=${build}`, ...["", "/limit"].map((of) => `/builds/${build}${of}`));
  await expect(bench.told()).toMatchFileSnapshot(`answers/memory${seed}.txt`);
});
