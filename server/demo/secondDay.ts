import type { BenchDiary, DemoPlace } from "./benchDiary.ts";
import { climb } from "./climb.ts";
import { control, type DemoSession, overnight, repeatControl, settleIn } from "./routines.ts";

/** A warm day: the small board's new firmware, the big one mounted afresh, and into the cupboard. */
export function secondDay({ diary, places, measureNoise }: DemoSession): void {
  const { frameL, frameS, cupboardS } = places;
  frameS.parts = { ...frameS.parts, firmware: "1.06" };
  repeatControl(diary, frameS, 2, "firmware 1.06 overnight; same setting as Quay L will get");
  climb(diary, frameS, { voltageMv: 1250, fromMhz: 4600, screenMin: 10, proofMin: 30 });
  climb(diary, frameS, { voltageMv: 1100, fromMhz: 4300, screenMin: 10 });
  measureNoise(frameS, "");
  diary.pass(30);
  diary.remount(frameL, "thin, from the syringe", "other paste, to see what that is worth");
  repeatControl(diary, frameL, 2, "second mount, and a warmer room than yesterday");
  diary.remount(frameL, "thin, from the syringe", "same paste again: how far do two mounts differ?");
  repeatControl(diary, frameL, 2, "third mount");
  climb(diary, frameL, { voltageMv: 1050, fromMhz: 4200, screenMin: 10 });
  climb(diary, frameL, { voltageMv: 1275, fromMhz: 4750, screenMin: 10 });
  diary.pass(40);
  settleIn(diary, cupboardS, "in the cupboard, door shut, as it will live");
  repeatControl(diary, cupboardS, 2, "same setting as on the frame");
  disturbed(diary, cupboardS);
  climb(diary, cupboardS, { voltageMv: 1150, fromMhz: 4400, screenMin: 10 });
  climb(diary, cupboardS, { voltageMv: 1200, fromMhz: 4500, screenMin: 10, proofMin: 60 });
  climb(diary, cupboardS, { voltageMv: 1225, fromMhz: 4550, screenMin: 10 });
  tooHot(diary, cupboardS);
  overnight(diary, cupboardS, 4575, "stacking", "overnight, still stacking at breakfast");
}

function disturbed(diary: BenchDiary, place: DemoPlace): void {
  diary.tryOut(place, {
    ...control,
    minutes: 15,
    brokenOffMin: 3,
    change: { outcome: "disturbed", note: "caught the network cable with my knee" },
  });
}

function tooHot(diary: BenchDiary, place: DemoPlace): void {
  diary.tryOut(place, {
    load: "stacking",
    clockMhz: 4650,
    voltageMv: 1300,
    minutes: 15,
    change: {
      throttled: true,
      peakTempC: 95,
      note: "95 and it throttled. Not in this cupboard, not at this voltage",
    },
  });
}
