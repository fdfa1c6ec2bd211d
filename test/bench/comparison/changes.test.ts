import { describe, expect, it } from "vitest";
import { changesOf } from "../../../server/bench/comparison/changes.ts";

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
});
