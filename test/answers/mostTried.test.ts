import { expect, it } from "vitest";
import { mostTried, wellTried } from "../../server/answers/mostTried.ts";
import { smallWorld, testServer } from "../support/bench.ts";

it("the builds with most attempts come first, at once after one more, and are taken until there are enough", async () => {
  const server = await testServer();
  const { cupboard, heavy, small, chip } = await smallWorld(server);
  const names = (builds: readonly Readonly<{ name: string }>[]) => builds.map(({ name }) => name);
  const made = async (name: string) =>
    (await server.send("POST", "/api/builds", { name, chipId: chip, boardId: small })).body.id as string;
  const [first, second] = [await made("A first"), await made("A second")];
  const run = { workloadId: heavy, clockMhz: 4500, voltageMv: 1200, outcome: "pass", durationS: 900 };
  const tried = (build: string) => server.send("POST", `/api/builds/${build}/attempts`, run);
  await tried(second);
  await tried(second);
  await tried(first);
  expect(names(mostTried(server.journal, chip)).slice(0, 2)).toEqual(["A second", "A first"]);
  expect(names(wellTried(server.journal, chip, 2))).toEqual(["A second"]);
  expect(names(wellTried(server.journal, chip, 3))).toEqual(["A first", "A second"]);
  await tried(first);
  await tried(first);
  expect(names(mostTried(server.journal, chip)).slice(0, 2)).toEqual(["A first", "A second"]);
  expect(wellTried(server.journal, chip)).toEqual(server.journal.builds.ofChip(chip));
  expect(server.journal.attempts.countOf(cupboard)).toBe(0);
});
