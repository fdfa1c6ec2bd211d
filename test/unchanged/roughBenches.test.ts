import { expect, it } from "vitest";
import { oneOf } from "./chosen.ts";
import { drawnMachine, drawnRun } from "./drawnRun.ts";
import { unchangedBench } from "./unchangedBench.ts";

type Bench = Awaited<ReturnType<typeof roughBench>>;

async function roughBench(seed: number, more: object = {}) {
  const bench = await unchangedBench(seed);
  const chipId = await bench.made("/api/chips", {
    ...{ name: "Tern 8", kind: "cpu", tempLimitC: 90, stockClockMhz: 4000, stockVoltageMv: 1100 },
    ...more,
  });
  const boardId = await bench.made("/api/boards", { name: "Quay S" });
  const load = await bench.made("/api/workloads", { name: "Stacking", kind: "all-core" });
  const light = await bench.made("/api/workloads", { name: "Browsing", kind: "everyday" });
  const built = (name: string, differing: object = {}) =>
    bench.made("/api/builds", { name, chipId, boardId, ...differing });
  return { ...bench, chipId, load, light, built };
}

const questions = [
  "best",
  "best?use=daily",
  "next",
  "next?voltageMv=1200",
  "next?voltageMv=1250&minutes=30",
  "frontier",
  "limit",
  "power",
];

const askedAll = async (bench: Bench, builds: readonly string[]): Promise<string> => {
  for (const build of builds) {
    await bench.ask(...questions.map((what) => `/api/builds/${build}/${what}`));
    await bench.read(`/?build=${build}`);
  }
  return bench.told();
};

it("builds with nothing, with one run, and with one kind of ending alone are answered for as before", async () => {
  const bench = await roughBench(7);
  const { built, load, tried, random } = bench;
  const at = (clockMhz: number, voltageMv: number, outcome: string, durationS = 600, more: object = {}) => ({
    ...{
      workloadId: load,
      clockMhz,
      voltageMv,
      outcome,
      durationS,
      ambientC: 22,
      loadTempC: 55 + clockMhz / 500,
    },
    ...more,
  });
  const builds = [await built("Empty")];
  const ladder = [4100, 4200, 4300, 4400];
  const runsOf: Readonly<Record<string, readonly object[]>> = {
    "One pass": [at(4200, 1150, "pass")],
    "One crash": [at(4200, 1150, "freeze", 40)],
    "Only passes": ladder.map((mhz) => at(mhz, 1150, "pass", 1200)),
    "Only crashes": ladder.map((mhz) => at(mhz, 1150, "restart", 90)),
    "Only stopped": ladder.map((mhz) => at(mhz, 1150, "stopped", 300)),
    "Too hot": ladder.map((mhz) =>
      at(mhz, 1250, mhz > 4250 ? "too-hot" : "pass", 700, { loadTempC: mhz / 48 }),
    ),
    "No evidence": ["disturbed", "power-cut", "load-stalled", "setting-lost", "supply-tripped"].map(
      (outcome) => at(4300, 1200, outcome, 200),
    ),
    "Does not start": [4300, 4200, 4100].map((mhz) =>
      at(mhz, 1100, mhz === 4200 ? "fell-back" : "no-start", 0),
    ),
    Contested: [at(4300, 1200, "pass", 3600), at(4250, 1200, "freeze", 500), at(4200, 1200, "pass", 3600)],
    "Odd failure": [
      ...[4200, 4250, 4300].map((mhz) => at(mhz, 1200, "pass", 1800)),
      ...[at(4225, 1200, "restart", 30), at(4225, 1200, "pass", 5400), at(4350, 1200, "freeze", 60)],
    ],
    "Boost only": [4410, 4432, 4425].map((mhz) =>
      at(4500, 1200, "pass", 900, { clockMode: "boost", effectiveClockMhz: mhz }),
    ),
    "Held back": ladder.map((mhz) =>
      at(mhz, 1200, "pass", 900, { throttled: mhz > 4250, effectiveClockMhz: Math.min(mhz, 4240) }),
    ),
    "With errors": ladder.map((mhz) =>
      at(mhz, 1200, "pass", 900, { correctedErrors: { core: mhz > 4250 ? 4 : 0, bus: 2 } }),
    ),
    "Found in the morning": [
      at(4250, 1200, "pass", 1800),
      at(4300, 1200, "freeze", 20_000, { failedFromS: 3000, failedToS: 18_000 }),
      at(4350, 1200, "wrong-result", 1800),
    ],
    "Slower than it should": ladder.map((mhz) => at(mhz, 1200, mhz === 4400 ? "slower" : "pass", 900)),
  };
  for (const [name, runs] of Object.entries(runsOf)) {
    const build = await built(name, { use: oneOf(random, ["benchmark", "daily"]) });
    for (const run of runs) await tried(build, run);
    builds.push(build);
  }
  await expect(await askedAll(bench, builds)).toMatchFileSnapshot("answers/rough.txt");
});

it("a chip that sets its own voltage is answered for as before", async () => {
  const bench = await roughBench(8, { automaticVoltage: true });
  const { built, load, tried, random } = bench;
  const builds = [await built("Shelf"), await built("Frame", { use: "daily", goal: "efficiency" })];
  for (const [i, build] of builds.entries()) {
    const machine = drawnMachine(random, 4380 + 60 * i, 1200);
    for (let k = 0; k < 22; k += 1) {
      const voltageMv = 1150 + 25 * random.index(4);
      const clockMhz =
        25 * Math.round((machine.limitMhz + 1.4 * (voltageMv - 1200) - 50 + 50 * random.normal()) / 25);
      const run = drawnRun(
        machine,
        { clockMhz, voltageMv, minutes: oneOf(random, [5, 10, 20]), share: 1 },
        random,
      );
      const isAutomatic = random.uniform() < 0.4;
      await tried(build, { ...run, workloadId: load, clockMhz, voltageMv: isAutomatic ? null : voltageMv });
    }
  }
  await bench.ask(
    `/api/compare?a=${builds[0]}&b=${builds[1]}`,
    `/api/compare?a=${builds[0]}&b=${builds[1]}&by=load`,
  );
  await bench.ask(`/api/write-up?builds=${builds.join()}`);
  await expect(await askedAll(bench, builds)).toMatchFileSnapshot("answers/automatic.txt");
});

it("four samples of a model on one board, its firmware changed between, are answered for as before", async () => {
  const bench = await roughBench(9);
  const { made, tried, load, light, random } = bench;
  const boardId = await made("/api/boards", { name: "Quay L" });
  const builds: string[] = [];
  const chips: string[] = [];
  for (const name of ["Tern a", "Tern b", "Tern c", "Tern d"]) {
    const chipId = await made("/api/chips", {
      ...{ name, kind: "cpu", tempLimitC: 95, model: "Tern", stockClockMhz: 4000, stockVoltageMv: 1100 },
      voltageCeilingMv: 1300,
    });
    const build = await made("/api/builds", {
      name: `${name} on Quay L`,
      chipId,
      boardId,
      firmwareVersion: "1.2",
    });
    const machine = drawnMachine(random, 4400, 1200);
    for (let k = 0; k < 12; k += 1) {
      const voltageMv = 1150 + 50 * random.index(3);
      const clockMhz =
        25 * Math.round((machine.limitMhz + 1.4 * (voltageMv - 1200) - 40 + 45 * random.normal()) / 25);
      const share = random.uniform() < 0.8 ? 1 : 0.4;
      const run = drawnRun(
        machine,
        { clockMhz, voltageMv, minutes: oneOf(random, [5, 10, 30]), share },
        random,
      );
      if (k === 8) await bench.send("PATCH", `/api/builds/${build}`, { firmwareVersion: "1.3" });
      await tried(build, { ...run, workloadId: share === 1 ? load : light, clockMhz, voltageMv });
    }
    builds.push(build);
    chips.push(chipId);
  }
  await bench.ask(`/api/chips/${chips[0]}/samples`, `/api/write-up?builds=${builds.join()}`);
  await bench.read(`/parts/chips/${chips[0]}`, `/changes?chip=${chips[2]}`, `/builds/${builds[3]}`);
  await bench.ask(`/api/drift?chip=${chips[1]}`, `/api/changes?chip=${chips[2]}`);
  await bench.ask(
    `/api/compare?a=${builds[1]}&b=${builds[3]}`,
    ...builds.map((id) => `/api/builds/${id}/versions`),
  );
  await expect(await askedAll(bench, builds.slice(0, 2))).toMatchFileSnapshot("answers/samples.txt");
});
