import { describe, expect, it } from "vitest";
import type { FrontierPoint } from "../../../server/bench/frontier/frontierPoint.ts";
import { plainAdvice } from "../../../server/bench/next/plainAdvice.ts";
import { testChip } from "../../support/evidenceRows.ts";

const chip = testChip({ voltageCeilingMv: 1300 });
const point = (voltageMv: number, heldMhz: number | null, more: Partial<FrontierPoint> = {}): FrontierPoint =>
  ({ voltageMv, heldMhz, margin: "ok", marginC: 15, contested: [], ...more }) as FrontierPoint;

describe("plainAdvice", () => {
  it("is one clock step below the highest held, at the lowest voltage that holds it", () => {
    const advice = plainAdvice([point(1100, 4400), point(1200, 4600), point(1250, 4600)], chip);
    expect(advice).toMatchObject({ clockMhz: 4575, voltageMv: 1200, heldMhz: 4600, passedOver: [] });
  });

  it("is the next rate that exists, and the next step under a run that was held back", () => {
    const rates = testChip({ clockGrid: [5600, 6000, 6200] });
    expect(plainAdvice([point(1200, 6000)], rates)).toMatchObject({ clockMhz: 5600 });
    expect(plainAdvice([point(1200, 4588)], chip)).toMatchObject({ clockMhz: 4575, heldMhz: 4588 });
  });

  it("passes over what leaves too little margin or lies above the ceiling, and says so", () => {
    const points = [point(1200, 4500), point(1250, 4600, { margin: "tight" }), point(1350, 4800)];
    const advice = plainAdvice(points, chip);
    expect(advice?.voltageMv).toBe(1200);
    expect(advice?.passedOver.map(({ because }) => because)).toEqual([
      "4600 MHz at 1.250 V leaves less than the warning margin in the hottest room.",
      "4800 MHz at 1.350 V is above your voltage ceiling.",
    ]);
  });

  it("advises nothing where nothing is left", () => {
    expect(plainAdvice([point(1200, null), point(1250, 4600, { margin: "over" })], chip)).toBeUndefined();
  });
});
