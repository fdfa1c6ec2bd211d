import { describe, expect, it } from "vitest";
import { changeToldBy } from "../../../server/bench/heat/changeUnderWay.ts";
import { seededRandom } from "../../../server/numerics/seededRandom.ts";

const loaded = { fromS: 30, toS: 900 };
const t = Array.from({ length: 930 }, (_, second) => second);

/** One channel a second: a level from a moment on another one, each reading off by chance. */
function toldBy(
  channel: "fan" | "power" | "clock",
  seed: number,
  of: { from: number; to: number; scatter: number },
) {
  const random = seededRandom(seed);
  const values = t.map((s) => (s < 500 ? of.from : of.to) + of.scatter * random.normal());
  return changeToldBy({ t, temperature: t.map(() => 70), [channel]: values } as never, loaded);
}
const seeds = Array.from({ length: 20 }, (_, seed) => seed + 1);

describe("changeToldBy(trace, loaded)", () => {
  it("tells of a channel that went to another level and stayed there, to some seconds", () => {
    for (const seed of seeds) {
      const change = toldBy("fan", seed, { from: 1200, to: 1350, scatter: 15 });
      expect(change?.what, `${seed}`).toBe("fan");
      expect(Math.abs(change!.atS - 500), `${seed}`).toBeLessThanOrEqual(5);
    }
  });

  it("says nothing of one that scatters as widely all the time", () => {
    for (const seed of seeds) {
      expect(toldBy("power", seed, { from: 100, to: 100, scatter: 12 }), `${seed}`).toBeNull();
      expect(toldBy("fan", seed, { from: 1200, to: 1200, scatter: 150 }), `${seed}`).toBeNull();
    }
  });

  it("says nothing of a step too small to matter, however plain", () => {
    expect(toldBy("clock", 1, { from: 4700, to: 4660, scatter: 0 })).toBeNull();
    expect(toldBy("clock", 1, { from: 4700, to: 4640, scatter: 0 })?.what).toBe("clock");
    expect(toldBy("fan", 1, { from: 1200, to: 1250, scatter: 0 })).toBeNull();
  });
});
