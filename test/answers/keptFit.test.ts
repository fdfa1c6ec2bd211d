import { expect, it } from "vitest";
import type { Grounded } from "../../server/answers/answerGrounds.ts";
import { keptFits } from "../../server/answers/keptFit.ts";
import { freshJournal, smallWorld, testServer } from "../support/bench.ts";

it("a fit made again on the same grounds still says what moved the answer last", async () => {
  const server = await testServer(freshJournal());
  const { cupboard } = await smallWorld(server);
  const { journal } = server;
  const kept = keptFits<"level", { level: number }>("level", (one, other) => one.level === other.level);
  const aim = { use: "daily", goal: "clock" } as const;
  const row = (id: string) => ({ id, outcome: "pass", clockMhz: 4600, voltageMv: 1200 });
  const asked = (...ids: string[]) =>
    ({ chip: {}, hottestAmbientC: 30, workloads: [], rows: ids.map(row) }) as unknown as Grounded;
  const keep = (level: number, question: Grounded) =>
    kept.keep(journal, cupboard, aim, { level }, () => question).changedBecause;
  const [first, second] = ["0197f000-0000-7000-8000-1", "0197f000-0000-7000-8000-2"];
  expect(keep(1, asked(first))).toEqual([]);
  const moved = keep(2, asked(first, second));
  expect(moved.map(({ attemptId }) => attemptId)).toEqual([second]);
  expect(keep(2, asked(first, second))).toEqual(moved);
  expect(keep(2, asked(first, second, "0197f000-0000-7000-8000-3"))).toEqual([]);
});
