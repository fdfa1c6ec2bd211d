import type { BenchDiary, DemoPlace } from "./benchDiary.ts";
import { climb } from "./climb.ts";
import { control, type DemoSession, overnight, repeatControl, settleIn } from "./routines.ts";

/** The big board on the open frame, and the small one in the evening. */
export function firstDay({ diary, places, measureNoise }: DemoSession): void {
  const { frameL, frameS } = places;
  settleIn(diary, frameL, "first light on the bench, everything stock");
  measureNoise(frameL, "meter on the tripod, fan side");
  leftToItself(diary, frameL);
  const optimism = { note: "optimism" };
  diary.tryOut(frameL, { load: "stacking", clockMhz: 4800, voltageMv: 1150, minutes: 10, change: optimism });
  climb(diary, frameL, { voltageMv: 1150, fromMhz: 4450, screenMin: 10, proofMin: 30 });
  climb(diary, frameL, { voltageMv: 1200, fromMhz: 4550, screenMin: 10, proofMin: 60 });
  const rang = "phone rang, stopped it to be safe";
  diary.tryOut(frameL, { ...control, minutes: 15, brokenOffMin: 6, change: { note: rang } });
  climb(diary, frameL, { voltageMv: 1250, fromMhz: 4650, screenMin: 10, proofMin: 30 });
  climb(diary, frameL, { voltageMv: 1100, fromMhz: 4350, screenMin: 10 });
  diary.tryOut(frameL, { load: "capture", clockMhz: 4550, voltageMv: 1200, minutes: 30 });
  fasterMemory(diary, frameL);
  repeatControl(diary, frameL, 1, "this one goes on every build, to compare");
  diary.pass(35);
  frameS.parts = { ...frameS.parts, firmware: "1.04" };
  settleIn(diary, frameS, "chip moved over, same cooler, same paste");
  fanLeftUnplugged(diary, frameS);
  climb(diary, frameS, { voltageMv: 1150, fromMhz: 4400, screenMin: 10 });
  climb(diary, frameS, { voltageMv: 1200, fromMhz: 4500, screenMin: 10, proofMin: 30 });
  overnight(diary, frameS, 4550, "capture", "overnight, as on a real night");
}

/** Boost decides the clock itself, so the attempt speaks of what it reached. */
function leftToItself(diary: BenchDiary, place: DemoPlace): void {
  diary.tryOut(place, {
    load: "stacking",
    clockMhz: 4425,
    voltageMv: 1150,
    minutes: 15,
    change: {
      clockMhz: 4700,
      clockMode: "boost",
      effectiveClockMhz: 4418.6,
      note: "left to its own boost: promises 4700, gives 4420 with all cores busy",
      tags: ["boost"],
    },
  });
}

function fasterMemory(diary: BenchDiary, place: DemoPlace): void {
  const alsoSet = [{ name: "memory, MT/s", value: 5600, harder: "up" }] as const;
  const note = "memory a notch up as well, just once";
  diary.tryOut(place, { ...control, minutes: 15, change: { alsoSet, note, tags: ["memory"] } });
}

function fanLeftUnplugged(diary: BenchDiary, place: DemoPlace): void {
  const asMeant = place.bench;
  const cooling = { ...asMeant.cooling, resistanceCPerW: 1.19 * asMeant.cooling.resistanceCPerW };
  place.bench = { ...asMeant, cooling };
  const at = new Date(Date.parse(diary.now()) + 25 * 60_000).toISOString();
  const reason = "The tower fan was not plugged in; this says nothing about the board.";
  const note = "hotter than it has any right to be";
  diary.tryOut(place, { ...control, minutes: 15, change: { note, setAside: { reason, at } } });
  place.bench = asMeant;
  diary.pass(4);
}
