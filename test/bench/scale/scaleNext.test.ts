import { describe, expect, it } from "vitest";
import { type OffsetSearch, partScalesOf } from "../../../server/bench/scale/offsetSearch.ts";
import { type NextOnScale, nextOnScale } from "../../../server/bench/scale/scaleNext.ts";
import type { OffsetAxis } from "../../../server/bench/things/chip.ts";
import type { EvidenceRow } from "../../../server/bench/things/evidenceRow.ts";
import { standardRule } from "../../../server/bench/things/rule.ts";
import { evidenceRow, testChip, testWorkload } from "../../support/evidenceRows.ts";

const undervolt: OffsetAxis = {
  ...{ name: "curve", unit: "mV", step: 5, harder: "down", low: null, high: null, countIsAboutMv: null },
};
const ran = (offset: number, outcome: EvidenceRow["outcome"], more: Partial<EvidenceRow> = {}) => ({
  ...evidenceRow({ offset, outcome, durationS: 7200, ...more }),
  ...{ clockMhz: null, voltageMv: null },
});
const next = (offset: OffsetAxis, rows: OffsetSearch["rows"], more: Partial<OffsetSearch> = {}) => {
  const scales = partScalesOf({
    chip: testChip({ axis: "offset", offset, stockClockMhz: 4850, stockVoltageMv: 1250 }),
    ...{ rows, hottestAmbientC: 30, use: "benchmark", requires: standardRule.requires },
    workloads: [testWorkload("all-core")],
    ...more,
  });
  return nextOnScale(scales!.questionOf(null)) as Exclude<NextOnScale, { state: string }>;
};

describe("what is next along an offset", () => {
  const settled = next(undervolt, [
    ran(-25, "pass"),
    ...[ran(-30, "pass"), ran(-30, "pass")],
    ...[ran(-35, "freeze", { durationS: 900 }), ran(-35, "freeze", { durationS: 1200 })],
    ran(-40, "freeze", { durationS: 60 }),
  ]);

  it("tells what more time may bring in the offset's own unit: half of the one step that is open", () => {
    expect(settled).toMatchObject({
      settled: { level: -25 },
      because: expect.stringContaining("one step harder 85 in 100 times"),
      nearer: { gain: 2.5 },
    });
  });

  it("says of a level that a failure stands against which failure that is", () => {
    expect(settled.blocked).toEqual([
      "curve −35 mV: froze after 15 min. Nothing as hard is proposed until the same passes for longer.",
    ]);
  });

  it("says of a level that would run too hot that it is too near the limit, and in which room", () => {
    const overclock: OffsetAxis = { ...undervolt, unit: "MHz", step: 15, harder: "up" };
    const hot = [0, 15, 30].map((offset) => ran(offset, "pass", { loadTempC: 92 + offset / 15 }));
    const { blocked } = next(overclock, hot, { hottestAmbientC: 35 });
    expect(blocked).toEqual([
      expect.stringMatching(
        /^In the hottest room planned for \(35 °C\), curve \S+ MHz is forecast too near the chip's temperature limit/,
      ),
    ]);
  });
});
