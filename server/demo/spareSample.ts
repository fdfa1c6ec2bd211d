import { dayMs } from "../actions/keeping.ts";
import { buildFrom } from "../bench/things/build.ts";
import { seededRandom } from "../numerics/seededRandom.ts";
import { hourMs, roomOf } from "./benchDays.ts";
import { benchDiary } from "./benchDiary.ts";
import { spareBench } from "./demoBenches.ts";
import { seededKeeper } from "./demoIds.ts";
import { type DemoParts, onFrame, tern8 } from "./demoParts.ts";

/** The afternoon before it all began: a second sample, tried for an hour and put aside, its limit not found yet. */
export function spareSample(now: string, seed: number, { boards, workloads }: DemoParts) {
  const kept = seededKeeper(seededRandom(seed + 5));
  const today = Math.floor(Date.parse(now) / dayMs) * dayMs;
  const startMs = today - 4 * dayMs + 14 * hourMs;
  const dated = new Date(startMs).toISOString();
  const chip = { ...kept(dated), ...tern8, name: "Tern 8, the spare", note: spareNote };
  const draft = {
    ...onFrame,
    name: "Open frame, the spare",
    firmware: "1.04",
    note: "Goes on when the loan ends.",
  };
  const build = { ...kept(dated), ...buildFrom({ ...draft, chipId: chip.id, boardId: boards.quayS.id }) };
  const diary = benchDiary(startMs, roomOf(today), workloads, kept, seededRandom(seed + 6));
  const place = diary.place(build, spareBench, { paste: "grey, from the tube" });
  const stacking = { load: "stacking", voltageMv: 1150 } as const;
  diary.tryOut(place, {
    ...stacking,
    clockMhz: 4300,
    minutes: 20,
    change: { note: "the spare, just to see" },
  });
  for (const clockMhz of [4375, 4425]) diary.tryOut(place, { ...stacking, clockMhz, minutes: 10 });
  const called = { note: "called away, the rest another day" };
  diary.tryOut(place, { ...stacking, clockMhz: 4475, minutes: 10, brokenOffMin: 3, change: called });
  return {
    ...{ chips: [chip], boards: [], workloads: [], rules: [], builds: [build], noise: [] },
    mounts: diary.mounts,
    attempts: diary.entries.map(({ attempt }) => attempt),
  };
}

const spareNote = "Invented for the demo. Came with the loan; tried for an hour so far.";
