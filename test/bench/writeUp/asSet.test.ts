import { describe, expect, it } from "vitest";
import type { AccountedBuild } from "../../../server/bench/writeUp/account.ts";
import { asSetLines, reachByOffset } from "../../../server/bench/writeUp/asSet.ts";
import { testChip } from "../../support/evidenceRows.ts";

const knob = {
  ...{ id: "limit", name: "Power limit", unit: "%", step: 5 },
  harder: "up",
  belongs: "context",
};
const chip = testChip({
  knobs: [{ ...knob, usual: 100, choices: [], ceiling: null }],
  limits: { hotspot: 100 },
} as never);
const ran = (knobs: object | null, temps: object | null = null) => ({ knobs, temps });
const linesOf = (runs: readonly object[]): readonly string[] => {
  const [block] = asSetLines({ chip, runs } as unknown as AccountedBuild);
  return block === undefined ? [] : (block as unknown as { items: readonly string[] }).items;
};

describe("asSetLines(build)", () => {
  it("counts how often each knob stood where, the usual value where it was not named, the most often first", () => {
    expect(linesOf([ran({ limit: 110 }), ran(null), ran({ limit: 110 }), ran({})])).toEqual([
      "Power limit: 110 % in 2 attempts and 100 % in 2 attempts.",
    ]);
    expect(linesOf([ran({ limit: 110 }), ran(null), ran(null)])).toEqual([
      "Power limit: 100 % in 2 attempts and 110 % in 1 attempt.",
    ]);
  });

  it("names four values and counts the rest", () => {
    const values = [105, 105, 110, 110, 115, 115, 120, 120, 125, 130];
    expect(linesOf(values.slice(0, -1).map((limit) => ran({ limit })))[0]).toContain(" and 1 more value.");
    expect(linesOf(values.map((limit) => ran({ limit })))).toEqual([
      "Power limit: 105 % in 2 attempts, 110 % in 2 attempts, 115 % in 2 attempts, 120 % in 2 attempts and 2 more values.",
    ]);
  });

  it("tells the timings of a memory as one line", () => {
    const timing = { unit: "", step: 1, harder: "down", belongs: "setting", choices: [], ceiling: null };
    const memory = testChip({
      kind: "memory",
      knobs: ["CL", "tRCD"].map((name) => ({ ...timing, id: name.toLowerCase(), name, usual: 40 })),
    } as never);
    const runs = [ran({ cl: 30, trcd: 38 }), ran({ cl: 30, trcd: 38 }), ran(null)];
    const [block] = asSetLines({ chip: memory, runs } as unknown as AccountedBuild);
    expect((block as unknown as { items: readonly string[] }).items).toEqual([
      "Timings: 30-38 in 2 attempts and 40-40 in 1 attempt.",
    ]);
  });

  it("tells under which firmware and driver how many attempts ran", () => {
    const at = (startedAt: string) => ({ ...ran(null), startedAt });
    const runs = ["2031-05-01", "2031-05-03", "2031-05-04"].map((day) => at(`${day}T18:00:00.000Z`));
    const version = (id: string, name: string, day: string) => ({
      ...{ id, name, of: "driver", since: `${day}T12:00:00.000Z` },
    });
    const versions = [version("a", "551.2", "2031-05-02"), version("b", "560.1", "2031-05-04")];
    const [block] = asSetLines({ chip, runs, versions } as unknown as AccountedBuild);
    expect((block as unknown as { items: readonly string[] }).items).toEqual([
      "Driver: an earlier one, 1 attempt; 551.2 since 2031-05-02, 1 attempt; 560.1 since 2031-05-04, 1 attempt.",
    ]);
  });

  it("has no line of a knob that nobody named", () => {
    expect(linesOf([ran(null), ran({})])).toEqual([]);
  });

  it("tells the hottest reading of each place, with its own limit where it has one", () => {
    expect(linesOf([ran(null, { hotspot: 92, supply: 60 }), ran(null, { hotspot: 81.6 })])).toEqual([
      "Read at the hotspot: 92 °C at most in 2 attempts, its own limit 100 °C.",
      "Read at the supply: 60 °C at most in 1 attempt, no limit of its own.",
    ]);
  });
});

describe("reachByOffset(build, number)", () => {
  const row = {
    ...{ part: null, heldOffset: 120, hardestPassed: 135, easiestCrash: 150, loadTempC: 66.4, marginC: 12.4 },
    evidence: { exposureS: 5400 },
  };
  const told = (together: object | null) => {
    const offset = { name: "Clock offset", unit: "MHz" };
    const parts = together === null ? [] : [{ name: "a", kernel: null }];
    const said = together && { contestedBy: [], ...together };
    const byOffset = { rows: [row], together: said };
    const build = { build: { name: "Rig" }, chip: { offset, parts }, byOffset };
    return JSON.stringify(reachByOffset(build as unknown as AccountedBuild, 0));
  };

  it("tells what held, passed once and crashed with their signs, and whether the parts ran together", () => {
    const words = told(null);
    for (const figure of ["the chip", "+120", "+135", "+150", "90", "66", "12", "MHz"])
      expect(words).toContain(`"${figure}"`);
    expect(words).toContain("Rig: the hardest clock offset that held, and what crashed beyond it.");
    expect(told({ offsets: null, provedTogether: false })).toContain("that held on each part, and");
    expect(told({ offsets: null, provedTogether: false })).not.toContain("proved together");
    expect(told({ offsets: { a: 1 }, provedTogether: false })).toContain("not proved together");
    expect(told({ offsets: { a: 1 }, provedTogether: true })).toContain("All of them have run together");
    const failed = told({ offsets: { a: 1 }, provedTogether: false, contestedBy: ["x"] });
    expect(failed).toContain("All together failed at these, or at less");
    expect(failed).not.toContain("Found one at a time");
  });
});
