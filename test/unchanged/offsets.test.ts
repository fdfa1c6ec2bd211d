import { expect, it } from "vitest";
import { lens3 } from "../../server/demo/imageCard.ts";
import type { SeededRandom } from "../../server/numerics/seededRandom.ts";
import { oneOf, saidOf } from "./chosen.ts";
import { unchangedBench } from "./unchangedBench.ts";

const tenth = (value: number): number => Math.round(value * 10) / 10;

/** Past the limit it fails the sooner the farther. Shapes: steps of the offset. */
function ranPast(steps: number, minutes: number, random: SeededRandom) {
  const failsAfterS = (3600 * random.exponential()) / Math.exp(1.6 * steps);
  const whole = Math.max(1, Math.round(failsAfterS));
  const failed = whole < minutes * 60;
  return { failed, durationS: failed ? whole : minutes * 60 };
}

const cardCrashes = [
  "driver-reset",
  "driver-reset",
  "artefacts",
  "app-closed",
  "freeze",
  "wrong-result",
] as const;

async function cardBench(seed: number) {
  const bench = await unchangedBench(seed);
  const { made, tried, random } = bench;
  const card = (name: string) => made("/api/chips", { ...lens3, name, model: "Lens", note: "" });
  const chips = [await card("Lens 1"), await card("Lens 2")];
  const boardId = await made("/api/boards", { name: "Pier" });
  const load = await made("/api/workloads", {
    ...{ name: "Deconvolve", kind: "graphics", severity: 30, scoreUnit: "images/min", scoreBetter: "higher" },
  });
  const other = await made("/api/workloads", { name: "Scrolling", kind: "everyday", severity: 2 });
  const builds = [
    await made("/api/builds", {
      name: "Rig 1",
      chipId: chips[0],
      boardId,
      hottestAmbientC: 28,
      firmware: "3.02",
    }),
    await made("/api/builds", {
      name: "Rig 2",
      chipId: chips[1],
      boardId,
      hottestAmbientC: 28,
      firmware: "3.02",
    }),
  ];
  for (const [at, build] of builds.entries()) {
    const limit = 165 + 60 * at + 10 * random.normal();
    for (let i = 0; i < 22; i += 1) {
      const memory = oneOf(random, [0, 0, 0, 300, 600]);
      const offset = 15 * Math.round((limit - 25 + 35 * random.normal()) / 15);
      const run = ranPast((offset + 0.02 * memory - limit) / 15, oneOf(random, [5, 10, 10, 30]), random);
      const roomC = tenth(21 + random.normal());
      const powerPct = oneOf(random, [100, 100, 110]);
      const edge = tenth(roomC + 0.42 * powerPct + random.normal());
      await tried(build, {
        ...{ workloadId: random.uniform() < 0.9 ? load : other, offset, durationS: run.durationS },
        outcome: run.failed ? oneOf(random, cardCrashes) : "pass",
        knobs: { "power-limit": powerPct, "memory-offset": memory },
        ...saidOf(random, {
          ambientC: [0.8, roomC],
          loadTempC: [0.8, edge],
          temps: [0.6, { hotspot: tenth(edge + 13 + random.uniform()) }],
          clockMhz: [0.7, 2490 + offset - random.index(8)],
          voltageMv: [0.7, 1040 + random.index(10)],
          powerW: [0.6, tenth(2.28 * powerPct + random.normal())],
          score: [0.5, tenth(40 + offset / 90 + memory / 500)],
          settingReadBack: [0.5, oneOf(random, ["confirmed", "confirmed", "cannot-tell", "differs"])],
          freshBoot: [0.2, true],
          fanRpm: [0.4, 1400 + 100 * random.index(5)],
        }),
      });
    }
  }
  return { bench, builds, chips, load };
}

it.each([1, 2])(
  "two cards set by an offset, drawn the %dth time, are answered for as before",
  async (seed) => {
    const { bench, builds, chips, load } = await cardBench(seed);
    const [one, other] = builds;
    for (const build of builds)
      await bench.ask(
        ...[
          ...["best", "best?use=daily", "best?goal=efficiency", "best?knob=memory-offset"],
          ...[
            "next",
            "next?minutes=60",
            "next?knob=memory-offset",
            "frontier",
            "limit",
            "power",
            "attempts.csv",
          ],
          `frontier?workload=${load}`,
        ].map((what) => `/api/builds/${build}/${what}`),
      );
    await bench.ask(`/api/compare?a=${one}&b=${other}`, `/api/write-up?builds=${one},${other}`);
    await bench.read(
      ...[`/?build=${one}`, `/builds/${one}`, `/builds/${one}/limit`, `/builds/${other}/power`],
      `/compare?a=${one}&b=${other}`,
    );
    await bench.ask(`/api/chips/${chips[0]}/samples`, `/api/drift?chip=${chips[0]}`);
    await expect(bench.told()).toMatchFileSnapshot(`answers/cards${seed}.txt`);
  },
);

async function coreBench(seed: number, sharedSupply: boolean) {
  const bench = await unchangedBench(seed);
  const { made, tried, random } = bench;
  const parts = ["core 0", "core 1", "core 2", "core 3"];
  const chipId = await made("/api/chips", {
    ...{ name: "Dunlin", kind: "cpu", tempLimitC: 95, axis: "offset", sharedSupply },
    ...{ stockClockMhz: 4850, stockVoltageMv: 1250 },
    offset: {
      name: "Curve offset",
      unit: "counts",
      step: 1,
      harder: "down",
      low: -40,
      high: 10,
      countIsAboutMv: 4,
    },
    parts: parts.map((name, kernel) => ({ name, kernel: String(kernel) })),
  });
  const boardId = await made("/api/boards", { name: "Quay L" });
  const heavy = await made("/api/workloads", { name: "Stacking", kind: "all-core", severity: 10 });
  const single = await made("/api/workloads", { name: "One thread", kind: "single-core", severity: 3 });
  const idle = await made("/api/workloads", { name: "Idle", kind: "idle" });
  const build = await made("/api/builds", { name: "Shelf", chipId, boardId, use: "daily" });
  const limits = parts.map(() => -22 + 5 * random.normal());
  for (let i = 0; i < 34; i += 1) {
    const at = random.index(6);
    const part = parts[at] ?? null;
    const set = parts.map((_, k) => Math.max(-39, Math.round((limits[k] ?? 0) + 3 + 4 * random.normal())));
    const under = part === null ? [0, 1, 2, 3] : [at];
    const worst = under.reduce(
      (most, k) => (limits[k]! - set[k]! > limits[most]! - set[most]! ? k : most),
      under[0]!,
    );
    const run = ranPast((limits[worst]! - set[worst]!) / 2, oneOf(random, [5, 10, 10, 30]), random);
    const roomC = tenth(22 + random.normal());
    await tried(build, {
      ...{
        workloadId: part === null ? heavy : oneOf(random, [single, single, idle]),
        durationS: run.durationS,
      },
      outcome: run.failed ? oneOf(random, ["restart", "freeze", "wrong-result", "died"]) : "pass",
      offsets: Object.fromEntries(parts.map((name, k) => [name, set[k]])),
      ...(part === null ? {} : { part }),
      ...(run.failed && random.uniform() < 0.4 ? { crashPart: parts[worst] } : {}),
      ...saidOf(random, {
        ambientC: [0.8, roomC],
        loadTempC: [0.8, tenth(roomC + (part === null ? 52 : 33) + random.normal())],
        voltageMv: [0.5, 1180 + random.index(20)],
        clockMhz: [0.5, 4800 + random.index(60)],
        powerW: [0.4, tenth(110 + random.normal())],
        correctedErrors: [0.2, { core: random.index(2) }],
      }),
    });
  }
  return { bench, build, heavy, single };
}

it.each([
  [3, false],
  [4, true],
])(
  "cores with an offset each, drawn the %dth time, are answered for as before",
  async (seed, sharedSupply) => {
    const { bench, build, heavy, single } = await coreBench(seed, sharedSupply);
    await bench.ask(
      ...[
        ...[
          "best",
          "best?use=benchmark",
          "best?use=unattended",
          "next",
          "next?minutes=45",
          "frontier",
          "limit",
        ],
        ...[`frontier?workload=${heavy}`, `frontier?workload=${single}`, `limit?workload=${single}`, "power"],
      ].map((what) => `/api/builds/${build}/${what}`),
      `/api/write-up?builds=${build}`,
    );
    await bench.read(`/?build=${build}`, ...["", "/limit", "/power"].map((of) => `/builds/${build}${of}`));
    await expect(bench.told()).toMatchFileSnapshot(`answers/cores${seed}.txt`);
  },
);
