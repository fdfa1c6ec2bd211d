import { describe, expect, it } from "vitest";
import { plainAnswerOf } from "../../../server/bench/best/plainAnswer.ts";
import type { FrontierPoint } from "../../../server/bench/frontier/frontierPoint.ts";
import { evidenceRow, testChip, testWorkload } from "../../support/evidenceRows.ts";

const point = (heldMhz: number | null) =>
  ({ voltageMv: 1200, heldMhz, margin: "ok", marginC: 15, contested: [] }) as unknown as FrontierPoint;

const answered = (heldMhz: number | null) =>
  plainAnswerOf({
    points: [point(heldMhz)],
    rows: [
      evidenceRow({ clockMhz: 4575, voltageMv: 1200, durationS: 1500 }),
      evidenceRow({ clockMhz: 4600, voltageMv: 1200, durationS: 1200 }),
    ],
    workloads: [testWorkload("all-core")],
    chip: testChip(),
    use: "daily",
  });

describe("plainAnswerOf(grounds)", () => {
  it("is one step under what held, with its margin as read and how long it ran, and claims no chance", () => {
    expect(answered(4600)).toMatchObject({
      state: "too-little",
      setting: { clockMhz: 4575, voltageMv: 1200, chance: null, hours: 8, ranS: 1500, marginC: 15 },
      because: ["It lies one step under 4600 MHz, the highest that held at 1.200 V."],
    });
  });

  it("says why there is none where nothing held", () => {
    expect(answered(null)).toMatchObject({
      setting: null,
      because: ["No setting holds by the rule with its heat margin and under the ceiling."],
    });
  });
});
