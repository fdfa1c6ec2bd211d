import { dayMs } from "../actions/keeping.ts";
import { buildFrom } from "../bench/things/build.ts";
import { seededRandom } from "../numerics/seededRandom.ts";
import { hourMs, roomOf } from "./benchDays.ts";
import { benchDiary } from "./benchDiary.ts";
import { spareBench } from "./demoBenches.ts";
import { seededKeeper } from "./demoIds.ts";
import { type DemoParts, onFrame, tern8 } from "./demoParts.ts";
import type { Intent } from "./intent.ts";

/** The afternoon before it all began: a second sample, tried for an hour with its corrected errors counted, and put aside. */
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
  for (const { core, note, ...meant } of tries)
    diary.tryOut(place, {
      ...{ load: "stacking", voltageMv: 1150, ...meant },
      change: { correctedErrors: core, correctedErrorsAt: { core }, ...(note && { note }) },
    });
  return {
    ...{ chips: [chip], boards: [], workloads: [], rules: [], builds: [build], noise: [] },
    mounts: diary.mounts,
    attempts: diary.entries.map(({ attempt }) => attempt),
  };
}

/** Its system log was read after each run: before it fails, this sample corrects itself. */
const tries: readonly Try[] = [
  { clockMhz: 4300, minutes: 20, core: 0, note: "the spare, just to see" },
  { clockMhz: 4375, minutes: 10, core: 0 },
  { clockMhz: 4425, minutes: 10, core: 2, note: "two corrected in the cores, says the system log" },
  { clockMhz: 4475, minutes: 10, core: 6, brokenOffMin: 3, note: "six more, then called away" },
];
type Try = Pick<Intent, "clockMhz" | "minutes" | "brokenOffMin"> & Readonly<{ core: number; note?: string }>;

const spareNote = "Invented for the demo. Came with the loan; tried for an hour so far.";
