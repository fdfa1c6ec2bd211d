import { describe, expect, it } from "vitest";
import { fillDemo } from "../../server/demo/demoJournal.ts";
import { type SeededRandom, seededRandom } from "../../server/numerics/seededRandom.ts";
import { disagreements, type Said, saidAtOnce, saidInTheEnd } from "../support/answersSaid.ts";
import { freshJournal, smallWorld, type TestServer, theInstant } from "../support/bench.ts";
import { heldServer } from "../support/heldFits.ts";
import { chipKinds, ranOn, simulatedChip, trueClockAt } from "../support/simulatedChip.ts";

const answered = async (server: TestServer, world: Parameters<typeof saidInTheEnd>[1]): Promise<Said[]> => {
  const waited = await saidInTheEnd(server, world);
  return [...waited, ...(await saidAtOnce(server, world))];
};

/** One thing that may happen at a bench: mostly a run, sometimes a change of mind. */
async function happened(
  { send }: TestServer,
  random: SeededRandom,
  chip: ReturnType<typeof simulatedChip>,
  { build, heavy }: Readonly<{ build: string; heavy: string }>,
): Promise<void> {
  const chance = random.uniform();
  const { items } = (await send("GET", `/api/builds/${build}/attempts?limit=500`)).body;
  if (chance < 0.08) {
    const use = ["benchmark", "daily", "unattended"][Math.floor(3 * random.uniform())];
    await send("PATCH", `/api/builds/${build}`, { use });
  } else if (chance < 0.15 && items.length > 3) {
    const one = items[Math.floor(items.length * random.uniform())];
    await send("PUT", `/api/attempts/${one.id}/set-aside`, { reason: "a fan had stopped" });
  } else {
    const voltageMv = [1150, 1200][Math.floor(2 * random.uniform())] as number;
    const near = trueClockAt(chip, voltageMv, 1 / 600);
    const clockMhz = 25 * Math.round((near + 60 * random.normal() - 40) / 25);
    const { row } = ranOn(chip, { clockMhz, voltageMv, minutes: random.uniform() < 0.3 ? 60 : 15 }, random);
    const { outcome, durationS, ambientC, loadTempC } = row;
    const isHot = outcome === "pass" && random.uniform() < 0.06;
    const sent = await send("POST", `/api/builds/${build}/attempts`, {
      ...{ workloadId: heavy, clockMhz, voltageMv, durationS: Math.round(durationS), ambientC, loadTempC },
      outcome: isHot ? "too-hot" : outcome,
    });
    expect(sent.status).toBe(201);
  }
}

describe("a build's answer", () => {
  const seeds = Array.from({ length: 10 }, (_, i) => 9_100_000 + i);
  it.each(seeds)(
    "is one on every page and address after each commit of a day (journal %i)",
    async (seed) => {
      const random = seededRandom(seed);
      const { server, hold, letGo } = await heldServer();
      const { chip: chipId, heavy, cupboard, frame } = await smallWorld(server);
      const chip = simulatedChip(chipKinds[seed % 3] as (typeof chipKinds)[number], random, {
        limitMhz: 4600,
      });
      const world = {
        chip: chipId,
        builds: [
          { id: cupboard, name: "Cupboard" },
          { id: frame, name: "Open frame" },
        ],
      };
      for (let step = 0; step < 6; step++) {
        const build = random.uniform() < 0.75 ? cupboard : frame;
        hold();
        await happened(server, random, chip, { build, heavy });
        if (step % 3 === 2) {
          const meanwhile = await saidAtOnce(server, world, [world.builds[0]!]);
          expect(disagreements(meanwhile), `step ${step}, while it is worked out`).toEqual([]);
        }
        letGo();
        expect(disagreements(await answered(server, world)), `step ${step}`).toEqual([]);
      }
    },
    120_000,
  );

  it("is one for each build of the demo, before its fits and after, and after one more crash", async () => {
    const journal = freshJournal();
    fillDemo(journal, theInstant);
    const { server, hold, letGo } = await heldServer(journal);
    const builds = journal.builds.all();
    const world = { builds, chip: builds[0]!.chipId };
    hold();
    expect(disagreements(await saidAtOnce(server, world, builds.slice(0, 1)))).toEqual([]);
    letGo();
    const before = await answered(server, world);
    expect(disagreements(before)).toEqual([]);
    const of = builds[0]!;
    const { body: best } = await server.send("GET", `/api/builds/${of.id}/best`);
    hold();
    await server.send("POST", `/api/builds/${of.id}/attempts`, {
      workloadId: best.setting.workloadId,
      clockMhz: best.setting.clockMhz,
      voltageMv: best.setting.voltageMv,
      outcome: "freeze",
      durationS: 900,
    });
    const meanwhile = await saidAtOnce(server, world, [of]);
    expect(disagreements(meanwhile)).toEqual([]);
    const now = meanwhile.find(({ buildId }) => buildId === of.id)?.answer;
    expect(now).not.toBe(before.find(({ buildId }) => buildId === of.id)?.answer);
    letGo();
  }, 600_000);
});
