import { describe, expect, it } from "vitest";
import { usualAssumptions } from "../../../server/bench/comparison/assumptions.ts";
import { judgedClock } from "../../../server/bench/comparison/clockApart.ts";
import { differenceRows, onePerMeasure } from "../../../server/bench/comparison/intervalRows.ts";
import { sameSettingRows } from "../../../server/bench/comparison/sameSetting.ts";
import { sameVoltageRows } from "../../../server/bench/comparison/sameVoltage.ts";
import { type JudgedTogether, judgedBy, verdictSaid } from "../../../server/bench/comparison/together.ts";
import type { Verdict } from "../../../server/bench/comparison/verdict.ts";
import { build, fittedApart, run } from "./benchDay.ts";

const mounted = (name: string, temps: readonly number[]) =>
  build(
    name,
    temps.flatMap((loadTempC, n) =>
      [4500, 4600].map((clockMhz) =>
        run({ id: `${name}${n}${clockMhz}`, mountId: `${name}${n}`, loadTempC, clockMhz }),
      ),
    ),
  );
const point = (heldMhz: number, lowestCrashMhz: number | null) => ({
  voltageMv: 1250,
  highestPassedMhz: heldMhz,
  heldMhz,
  lowestCrashMhz,
});
const compared = {
  clockUnit: "MHz" as const,
  offsets: null,
  clock: judgedClock(null, usualAssumptions),
  sameVoltage: sameVoltageRows({
    a: [point(4800, 4825)],
    b: [point(4750, 4775)],
    assumptions: usualAssumptions,
  }),
  sameSetting: sameSettingRows({
    a: mounted("Frame", [78.2, 79.1, 77.6]),
    b: mounted("Cupboard", [84.6, 85.3, 83.9]),
    others: [],
    idleWorkloadIds: new Set(),
    assumptions: usualAssumptions,
  }),
  noise: [],
  score: [],
  together: [],
};

const [telling] = compared.sameSetting;
const heatJudged = (verdict: Verdict): JudgedTogether[] => [
  { ...judgedBy(telling!), measure: "loadRise", chance: 0.06, verdict },
];

describe("onePerMeasure(rows)", () => {
  it("takes of each measure and load the first that was judged, else the first", () => {
    const row = (id: string, verdict: Verdict, measure = "power", workloadId = "all-core") =>
      ({ id, verdict, measure, workloadId }) as never;
    const rows = [
      row("a", "not-enough"),
      row("b", "not-enough"),
      row("c", "within-scatter"),
      row("d", "differs"),
      row("e", "not-enough", "fan"),
      row("f", "not-enough", "fan"),
      row("g", "not-enough", "power", "light"),
    ];
    expect(onePerMeasure(rows).map((one) => (one as unknown as { id: string }).id)).toEqual(["c", "e", "g"]);
  });
});

describe("the differences that tell a comparison", () => {
  it("tells the one difference of all voltages where both are fitted, undecided ones too", () => {
    const apart = fittedApart(-20, -45, 0.3);
    const both = { ...apart, voltages: [...apart.voltages, { ...apart.voltages[0]!, voltageMv: 1250 }] };
    const [row] = differenceRows({ ...compared, clock: judgedClock(both, usualAssumptions) }, () => "");
    expect(row).toMatchObject({
      label: "Clock, 2 voltages",
      setting: "1.200 V to 1.250 V",
      words: "−20 MHz (−45.0 to 0.3)",
      verdict: "no difference beyond scatter",
      decided: false,
    });
  });

  it("says of a measure that differs by itself no more than the sentence does", () => {
    const told = (verdict: Verdict) =>
      differenceRows({ ...compared, together: heatJudged(verdict) }, () => "All-core").map((row) => [
        row.label,
        row.verdict,
        row.decided,
      ]);
    const clock = ["Clock at 1.250 V", "observed only", false];
    expect(told("within-scatter")).toEqual([clock, ["Loaded", "differs by itself", false]]);
    expect(told("differs")).toEqual([clock, ["Loaded", "differs", true]]);
  });

  it("says of what the sentence never judged that it differs by itself", () => {
    const power = { ...telling!, measure: "power" as const, unit: "W" };
    const elsewhere = { ...telling!, workloadId: "bursts" };
    const rows = [telling!, power, elsewhere];
    const together = heatJudged("differs");
    expect(rows.map(({ verdict }) => verdict)).toEqual(["differs", "differs", "differs"]);
    const drawn = differenceRows({ ...compared, sameSetting: rows, together }, String);
    expect(drawn.slice(1).map(({ verdict, decided }) => [verdict, decided])).toEqual([
      ["differs", true],
      ["differs by itself", false],
      ["differs by itself", false],
    ]);
    // The tables of the page and of the account ask the same.
    expect(rows.map((row) => verdictSaid({ ...judgedBy(row), verdict: row.verdict }, together))).toEqual(
      drawn.slice(1).map(({ verdict }) => verdict),
    );
    expect(verdictSaid({ measure: "power", place: null, verdict: "not-enough" }, together)).toBe(
      "not enough runs",
    );
  });

  it("cuts a long label at its end, and leaves the setting whole", () => {
    const twice = [telling!, { ...telling!, workloadId: "other" }];
    const name = (id: string) => (id === "other" ? "Stacking a whole night's images" : "Stacking");
    const [, short, long] = differenceRows({ ...compared, sameSetting: twice }, name);
    expect([short?.label, long?.label]).toEqual(["Loaded, Stacking", "Loaded, Stacking a whole…"]);
    expect(long?.setting).toContain("Stacking a whole night's images");
  });

  it("shows each measure once, the clock first, words with both ends", () => {
    const rows = differenceRows({ ...compared, together: heatJudged("differs") }, () => "All-core");
    expect(rows.map((row) => [row.label, row.words, row.verdict, row.decided])).toEqual([
      ["Clock at 1.250 V", "−50 MHz (−75 to −25)", "observed only", false],
      ["Loaded", expect.stringMatching(/^\+6\.3 °C \(4\.\d to 8\.\d\)$/), "differs", true],
    ]);
    expect(rows[1]!.setting).toBe("All-core, 4500 MHz, 1.200 V");
  });
});
