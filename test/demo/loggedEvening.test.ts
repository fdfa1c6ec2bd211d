import { expect, it } from "vitest";
import { frontierOfBuild } from "../../server/answers/frontierOfBuild.ts";
import { traceFoundIn } from "../../server/answers/heatOfAttempt.ts";
import { powerOfBuild } from "../../server/answers/powerOfBuild.ts";
import { fillDemo } from "../../server/demo/demoJournal.ts";
import { demoBench } from "../../server/demo/scenario.ts";
import { freshJournal, theInstant } from "../support/bench.ts";

function evening() {
  const journal = freshJournal();
  fillDemo(journal, theInstant);
  const { logged } = demoBench(theInstant);
  const buildId = logged.builds[0]!.id;
  const noted = (words: string) => logged.attempts.find(({ note }) => note.includes(words))!;
  return { journal, logged, buildId, noted };
}

it("shows a run that its log says was held back, and a frontier that counts it at what ran", () => {
  const { journal, buildId, noted } = evening();
  const held = noted("The log says why");
  const found = traceFoundIn(journal, held)!;
  expect(held.outcome).toBe("pass");
  expect(held.clockMhz).toBe(4500);
  expect(found.heat?.run.heldBackMhz).toBeCloseTo(4348, 0);
  const point = frontierOfBuild(journal, { buildId }).points.find(({ voltageMv }) => voltageMv === 1200)!;
  expect(point.heldMhz).toBe(4348);
  expect(point.highestPassedMhz).toBe(4348);
});

it("shows a run through which nothing is forecast, since a fan came up at minute nine", () => {
  const { journal, noted } = evening();
  const { run } = traceFoundIn(journal, noted("second fan"))!.heat!;
  expect(run.final).toBeNull();
  expect(run.level).not.toBeNull();
  expect(run.change?.what).toBe("fan");
  expect((run.change!.atS - run.load!.fromS) / 60).toBeCloseTo(9, 0);
});

it("shows power read at the wall, less what the supply loses, kept apart from the chip's own", () => {
  const { journal, buildId, logged } = evening();
  const { account } = powerOfBuild(journal, { buildId });
  expect(account.powerAt).toBe("wall");
  expect(account.wall?.supplyEfficiency).toBe(0.89);
  expect(logged.chips[0]?.note).toContain("Invented for the demo");
});
