import { describe, expect, it } from "vitest";
import { usualAssumptions } from "../../../server/bench/comparison/assumptions.ts";
import { changesOf, effectsOfChange, largestFirst } from "../../../server/bench/comparison/changes.ts";
import { build, run } from "./benchDay.ts";

const changed = (id: string, basedOn: string | null, change: string | null = null) => ({
  id,
  name: id,
  basedOn,
  change,
});

describe("builds that differ by one stated change", () => {
  it("are walked from what they are based on, whatever order they are kept in", () => {
    const builds = [
      changed("panel", "paste", "side panel on"),
      changed("paste", "first", "new paste"),
      changed("first", null),
      changed("curve", "first", "slower fans"),
    ];
    expect(changesOf(builds).map(({ from, to }) => `${from}>${to}`)).toEqual([
      "first>paste",
      "paste>panel",
      "first>curve",
    ]);
  });
  it("are walked also from one whose own ground is gone", () => {
    const builds = [changed("paste", "gone", "new paste"), changed("panel", "paste", "side panel on")];
    expect(changesOf(builds)).toEqual([{ from: "paste", to: "panel", change: "side panel on" }]);
  });
  it("a circle of builds ends", () => {
    const builds = [changed("a", "b"), changed("b", "a"), changed("c", null), changed("d", "c")];
    expect(changesOf(builds).map(({ to }) => to)).toEqual(["d"]);
  });

  const mounted = (name: string, temps: readonly number[]) =>
    build(
      name,
      temps.map((loadTempC, n) => run({ id: `${name}${n}`, mountId: `${name}${n}`, loadTempC })),
    );
  const effect = (to: string, temps: readonly number[]) =>
    effectsOfChange(
      { from: "first", to, change: to },
      {
        a: mounted("first", [80, 80.6, 79.7]),
        b: mounted(to, temps),
        others: [],
        idleWorkloadIds: new Set(),
        assumptions: usualAssumptions,
      },
    );

  it("are listed largest effect first, with those that nothing can be said of last", () => {
    const effects = [
      ...effect("panel", [82.1, 82.9, 82.4]),
      ...effect("unproven", [95]),
      ...effect("paste", [75.2, 74.8, 75.5]),
    ];
    const listed = largestFirst(effects, "loadRise");
    expect(listed.map(({ to }) => to)).toEqual(["paste", "panel", "unproven"]);
    expect(listed[0]!.row).toMatchObject({ verdict: "differs" });
    expect(listed[2]!.row).toMatchObject({ verdict: "not-enough" });
  });
});
