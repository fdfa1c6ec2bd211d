import { expect, it } from "vitest";
import { oneOf } from "./chosen.ts";
import { drawnMachine, drawnRun } from "./drawnRun.ts";
import { unchangedBench } from "./unchangedBench.ts";

/** A processor on two boards, one of them open and one shut in, with everything that is read on a good day. */
async function processorBench(seed: number) {
  const bench = await unchangedBench(seed);
  const { made, tried, random } = bench;
  const chipId = await made("/api/chips", {
    ...{ name: "Tern 8", kind: "cpu", tempLimitC: 95, voltageCeilingMv: 1350, model: "Tern" },
    ...{ stockClockMhz: 4000, stockVoltageMv: 1100, limits: { supply: 110 } },
  });
  const small = await made("/api/boards", {
    name: "Quay S",
    corePhases: 6,
    phaseRatingA: 50,
    supplyTempLimitC: 110,
  });
  const large = await made("/api/boards", {
    name: "Quay L",
    corePhases: 12,
    phaseRatingA: 60,
    formFactor: "large",
  });
  const heavy = await made("/api/workloads", {
    ...{ name: "Stacking", kind: "all-core", severity: 10, scoreUnit: "frames/s", scoreBetter: "higher" },
  });
  const light = await made("/api/workloads", { name: "Browsing", kind: "everyday", severity: 1 });
  const idle = await made("/api/workloads", { name: "Idle", kind: "idle" });
  const rule = await made("/api/rules", {
    name: "An hour of both",
    requires: [
      { workloadId: heavy, durationS: 3600 },
      { workloadId: light, durationS: 600 },
    ],
  });
  const open = await made("/api/builds", {
    ...{ name: "Open frame", chipId, boardId: large, ruleId: rule, cooler: "tower", firmware: "1.2" },
  });
  const shut = await made("/api/builds", {
    ...{ name: "Cupboard", chipId, boardId: small, hottestAmbientC: 34, use: "daily", cooler: "tower" },
    ...{ basedOn: open, change: "shut in, smaller board", case: "small" },
  });
  const loads = [
    { id: heavy, share: 1 },
    { id: heavy, share: 1 },
    { id: heavy, share: 1 },
    { id: light, share: 0.4 },
    { id: idle, share: 0.05 },
  ];
  const machine = drawnMachine(random, 4480, 1200);
  const machines = new Map([
    [open, machine],
    [shut, { ...machine, limitMhz: machine.limitMhz - 45, riseCPerW: machine.riseCPerW * 1.35 }],
  ]);
  const runs: string[] = [];
  for (let i = 0; i < 56; i += 1) {
    const build = i % 2 === 0 ? open : shut;
    const load = oneOf(random, loads);
    const voltageMv = 1100 + 25 * random.index(8);
    const at = machines.get(build)!;
    const near = at.limitMhz + at.mhzPerMv * (voltageMv - at.atMv);
    const clockMhz = 25 * Math.round((near - 60 + 60 * random.normal()) / 25);
    const minutes = oneOf(random, [2, 10, 10, 20, 60]);
    const run = drawnRun(at, { clockMhz, voltageMv, minutes, share: load.share }, random);
    runs.push(
      await tried(build, { workloadId: load.id, clockMhz, voltageMv, ...run, note: i % 9 ? "" : `run ${i}` }),
    );
    if (i === 30)
      await made(`/api/builds/${open}/mounts`, { mountedAt: "2031-04-29T00:40:00.000Z", paste: "new" });
  }
  for (const [build, levels] of [
    [open, [38.2, 38.9, 38.4]],
    [shut, [41.5, 42.2]],
  ] as const)
    for (const clockMhz of [4200, 4400])
      await made(`/api/builds/${build}/noise`, {
        ...{ workloadId: heavy, clockMhz, voltageMv: 1200, distanceM: 0.5, backgroundDba: 33.5 },
        levelsDba: levels.map((level) => level + (clockMhz - 4200) / 80),
      });
  await bench.send("PUT", `/api/attempts/${runs[7]}/set-aside`, { reason: "the fan was held" });
  return { bench, open, shut, heavy, light, rule, chipId, runs };
}

const askedOf = (
  build: string,
  { heavy, light, rule }: Readonly<Record<"heavy" | "light" | "rule", string>>,
) =>
  [
    ...[
      "best",
      "best?goal=efficiency",
      "best?goal=cool&use=daily",
      "best?use=unattended",
      `best?rule=${rule}`,
    ],
    ...[
      "next",
      "next?voltageMv=1200",
      "next?clockMhz=4350",
      "next?voltagesMv=1150,1200,1250",
      "next?minutes=90",
    ],
    ...["frontier", `frontier?rule=${rule}`, `frontier?workload=${light}`],
    ...["limit", `limit?workload=${light}`, "limit?targetMhz=4400"],
    ...[
      "power",
      `power?workload=${heavy}`,
      "power?supplyEfficiency=0.9",
      "noise",
      "attempts.csv",
      "versions",
    ],
  ].map((what) => `/api/builds/${build}/${what}`);

it.each([1, 2])("a processor on two boards, drawn the %dth time, is answered for as before", async (seed) => {
  const { bench, open, shut, ...things } = await processorBench(seed);
  await bench.ask(...askedOf(open, things), ...askedOf(shut, things));
  await bench.ask(
    ...["set", "load"].map((by) => `/api/compare?a=${open}&b=${shut}&by=${by}`),
    ...[`/api/compare?a=${shut}&b=${open}&workload=${things.light}`, `/api/chips/${things.chipId}/samples`],
    ...[`/api/drift?chip=${things.chipId}`, `/api/changes?chip=${things.chipId}`],
    ...[`/api/write-up?builds=${open},${shut}`],
    ...things.runs.slice(0, 6).map((run) => `/api/attempts/${run}/forecast`),
  );
  await expect(bench.told()).toMatchFileSnapshot(`answers/processor${seed}.txt`);
  await bench.read(
    ...[open, shut].flatMap((build) => [`/?build=${build}`, `/builds/${build}`]),
    ...["limit", "power", "versions", "attempts", "corrections"].map((of) => `/builds/${shut}/${of}`),
    ...[
      `/?build=${open}&aim=map`,
      `/?build=${shut}&aim=steps`,
      `/?build=${open}&clockMhz=4600&voltageMv=1250`,
    ],
    ...["set", "load"].map((by) => `/compare?a=${open}&b=${shut}&by=${by}`),
    ...["/builds", "/heat", "/noise", "/parts", `/changes?chip=${things.chipId}`],
    ...[`/write-up?builds=${open},${shut}`, `/attempts/${things.runs[2]}`, `/attempts/${things.runs[7]}`],
  );
  await expect(bench.told()).toMatchFileSnapshot(`answers/processorPages${seed}.txt`);
});
