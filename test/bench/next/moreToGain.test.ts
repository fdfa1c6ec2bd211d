import { expect, it } from "vitest";
import type { LadderDesk } from "../../../server/bench/next/ladderDesk.ts";
import { nearerOf } from "../../../server/bench/next/moreToGain.ts";
import type { NextDesk } from "../../../server/bench/next/nextDesk.ts";
import { testChip } from "../../support/evidenceRows.ts";

const nearer = (informationPerMinute: number, open: number) =>
  nearerOf({ question: { chip: testChip() } } as unknown as NextDesk, {
    ...({ answer: { likely: open, sure: 0 }, trial: { informationPerMinute } } as unknown as LadderDesk),
  });

it("tells half of what is open and the minutes to halve it, in tens, up to a day and no further", () => {
  expect(nearer(0.01, 2)).toEqual({ minutes: 70, gainMhz: 25, gainMv: null });
  expect(nearer(Math.LN2 / 1440, 2)?.minutes).toBe(1440);
  expect(nearer(Math.LN2 / 1441, 2)).toBeNull();
  expect(nearer(0.01, 0)).toBeNull();
});
