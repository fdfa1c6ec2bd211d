import { describe, expect, it } from "vitest";
import { type LikeRun, likeGroups, unlikeIn } from "../../../server/bench/heat/likeRuns.ts";

const run = (more: Partial<LikeRun> = {}): LikeRun => ({
  ...{ buildId: "cupboard", workloadId: "heavy", clockMhz: 4300, voltageMv: 1150 },
  ...{ offset: null, offsets: null, part: null, knobs: null },
  ...more,
});

describe("unlikeIn", () => {
  it("finds nothing between runs of one setting under one load, whatever the builds", () => {
    expect(unlikeIn([run(), run({ buildId: "frame" })])).toEqual([]);
    expect(unlikeIn([])).toEqual([]);
    expect(
      unlikeIn([run({ knobs: { limit: 90, ramp: 2 } }), run({ knobs: { ramp: 2, limit: 90 } })]),
    ).toEqual([]);
  });

  it("names the load, the setting and the knobs, each where it differs", () => {
    expect(unlikeIn([run(), run({ workloadId: "light" })])).toEqual(["load"]);
    expect(unlikeIn([run(), run({ clockMhz: 4325 })])).toEqual(["setting"]);
    expect(unlikeIn([run(), run({ voltageMv: null })])).toEqual(["setting"]);
    expect(unlikeIn([run({ offset: -20 }), run({ offset: -30, knobs: { limit: 90 } })])).toEqual([
      "setting",
      "knobs",
    ]);
    expect(unlikeIn([run({ offsets: { a: 1, b: 2 } }), run({ offsets: { b: 2, a: 1 } })])).toEqual([]);
  });
});

describe("likeGroups", () => {
  it("takes the newest run of each build at each setting, what most builds ran first, else what was run last", () => {
    const newest = [
      run({ clockMhz: 4650 }),
      run({ clockMhz: 4600, buildId: "frame" }),
      run({ buildId: "frame" }),
      run(),
      run({ clockMhz: 4600 }),
      run({ clockMhz: 4600 }),
    ];
    const groups = likeGroups(newest);
    expect(groups.map((group) => group.map((one) => newest.indexOf(one)))).toEqual([[1, 4], [2, 3], [0]]);
    expect(likeGroups([])).toEqual([]);
  });
});
