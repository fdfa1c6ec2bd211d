import { expect, it } from "vitest";
import { speaksOf, suitsChip } from "../../../server/bench/things/workload.ts";
import { testWorkload } from "../../support/evidenceRows.ts";

it("a load speaks of itself and of those known to be lighter", () => {
  const [heavy, twin, light, unknown] = [9, 9, 2, null].map((severity, n) =>
    testWorkload(`load ${n}`, { severity }),
  ) as [never, never, never, never];
  expect([speaksOf(heavy, heavy), speaksOf(unknown, unknown), speaksOf(heavy, light)]).toEqual([
    ...[true, true, true],
  ]);
  expect([speaksOf(light, heavy), speaksOf(heavy, twin)]).toEqual([false, false]);
  expect([speaksOf(heavy, unknown), speaksOf(unknown, light)]).toEqual([false, false]);
});

it("a load of graphics is proposed for a card alone and one of memory for a memory", () => {
  const suited = (kind: "graphics" | "memory" | "all-core" | "everyday") =>
    (["cpu", "gpu", "memory"] as const).filter((chip) => suitsChip({ kind }, chip));
  expect(suited("graphics")).toEqual(["gpu"]);
  expect(suited("memory")).toEqual(["memory"]);
  expect(suited("all-core")).toEqual(["cpu", "memory"]);
  expect(suited("everyday")).toEqual(["cpu", "gpu", "memory"]);
});
