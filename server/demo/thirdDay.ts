import { climb } from "./climb.ts";
import { type DemoSession, repeatControl, settleIn } from "./routines.ts";

/** A cool day, all of it in the cupboard: two more mounts, the other door, the big board. */
export function thirdDay({ diary, places, measureNoise }: DemoSession): void {
  const { cupboardS, cupboardL, louvredS } = places;
  diary.remount(cupboardS, "grey, from the tube", "back to the grey paste");
  repeatControl(diary, cupboardS, 2, "second mount, cool morning");
  climb(diary, cupboardS, { voltageMv: 1250, fromMhz: 4600, screenMin: 10, proofMin: 30 });
  climb(diary, cupboardS, { voltageMv: 1100, fromMhz: 4300, screenMin: 10 });
  diary.remount(cupboardS, "grey, from the tube", "third time, same paste");
  repeatControl(diary, cupboardS, 2, "third mount");
  for (const voltageMv of [1187.5, 1175]) {
    const note = voltageMv === 1175 ? "and one less" : "how little does 4550 need?";
    diary.tryOut(cupboardS, { load: "stacking", clockMhz: 4550, voltageMv, minutes: 20, change: { note } });
  }
  diary.tryOut(cupboardS, { load: "capture", clockMhz: 4550, voltageMv: 1200, minutes: 30 });
  measureNoise(cupboardS, "door shut, meter in front of it");
  const { mountFactor } = cupboardS.bench.cooling;
  louvredS.bench = { ...louvredS.bench, cooling: { ...louvredS.bench.cooling, mountFactor } };
  repeatControl(diary, louvredS, 2, "only the door is different");
  climb(diary, louvredS, { voltageMv: 1250, fromMhz: 4600, screenMin: 10, proofMin: 30 });
  measureNoise(louvredS, "louvred door");
  diary.pass(15);
  settleIn(diary, cupboardL, "the big board on the same shelf, two screws short");
  repeatControl(diary, cupboardL, 2, "the comparison that matters");
  climb(diary, cupboardL, { voltageMv: 1200, fromMhz: 4550, screenMin: 10, proofMin: 60 });
  climb(diary, cupboardL, { voltageMv: 1250, fromMhz: 4650, screenMin: 10 });
  diary.tryOut(cupboardL, { load: "solving", clockMhz: 4600, voltageMv: 1200, minutes: 20 });
  measureNoise(cupboardL, "");
  diary.tryOut(cupboardL, {
    ...{ load: "bursts", clockMhz: 4550, voltageMv: 1187.5, minutes: 30 },
    change: { note: "a little lower, switched on and off all the time" },
  });
  repeatControl(diary, cupboardL, 1, "the control once more, before the light goes out");
}
