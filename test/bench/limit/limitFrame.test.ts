import { expect, it } from "vitest";
import { limitFrameOf } from "../../../server/bench/limit/limitFrame.ts";
import { evidenceRow } from "../../support/evidenceRows.ts";

const unsaid = { stockClockMhz: null, stockVoltageMv: null, clockUnit: "MHz" } as const;
const ran = (clockMhz: number, voltageMv: number) => evidenceRow({ clockMhz, voltageMv, durationS: 900 });
const failed = (clockMhz: number, voltageMv: number) =>
  evidenceRow({ clockMhz, voltageMv, outcome: "freeze", durationS: 60 });

it("without stock values a fit starts from the highest clock that ran, else the lowest that failed, else nowhere", () => {
  const start = (...rows: Parameters<typeof limitFrameOf>[1]) => limitFrameOf(unsaid, rows);
  expect(start(ran(4500, 1150), ran(4700, 1250), failed(4600, 1100))).toMatchObject({
    ...{ clockMhz: 4700, voltageMv: 1250, from: "attempts" },
  });
  expect(start(failed(4900, 1300), failed(4600, 1200), failed(4750, 1250))).toMatchObject({
    ...{ clockMhz: 4600, voltageMv: 1200, from: "attempts" },
  });
  expect(start()).toBeNull();
});
