import { expect, it } from "vitest";
import { driftOfChip } from "../../server/answers/driftOfChip.ts";
import { controlOf, driftsOf } from "../../server/bench/comparison/control.ts";
import { smallWorld, testServer } from "../support/bench.ts";

it("works out anew only what the build that was written to says of the bench", async () => {
  const server = await testServer();
  const { chip, cupboard, frame, heavy } = await smallWorld(server);
  const { journal, clock, send } = server;
  const ran = async (build: string, daysAgo: number, loadTempC: number) => {
    const startedAt = new Date(Date.parse(clock.now()) - daysAgo * 86_400_000).toISOString();
    const run = { workloadId: heavy, clockMhz: 4500, voltageMv: 1200, durationS: 1800, ambientC: 22 };
    const body = { ...run, startedAt, loadTempC, outcome: "pass" };
    expect((await send("POST", `/api/builds/${build}/attempts`, body)).status).toBe(201);
  };
  for (const build of [cupboard, frame])
    for (const daysAgo of [5, 4, 3]) await ran(build, daysAgo, 70 + daysAgo);
  const driftsNow = () => new Map(driftOfChip(journal, chip).map(({ build, drifts }) => [build.id, drifts]));
  const before = driftsNow();
  await ran(cupboard, 2, 80);
  const after = driftsNow();
  expect(after.get(frame)).toBe(before.get(frame));
  const runs = journal.attempts.taggedRunsOf(cupboard);
  expect(after.get(cupboard)).toEqual(driftsOf(runs, controlOf(runs)!, false));
  expect(after.get(cupboard)).not.toEqual(before.get(cupboard));
});
