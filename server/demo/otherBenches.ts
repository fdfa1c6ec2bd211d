import { dayMs } from "../actions/keeping.ts";
import type { Attempt } from "../bench/things/attempt.ts";
import { attemptFrom } from "../bench/things/attemptFrom.ts";
import { type Mount, mountFrom, partsOf } from "../bench/things/build.ts";
import { seededRandom } from "../numerics/seededRandom.ts";
import { archiveCores } from "./archiveCores.ts";
import { hourMs } from "./benchDays.ts";
import { seededKeeper } from "./demoIds.ts";
import type { Keeper } from "./demoParts.ts";
import { imageCard, spareCard } from "./imageCard.ts";
import { memorySet } from "./memorySet.ts";
import type { OtherBench } from "./otherBench.ts";
import type { Scenario } from "./scenario.ts";

/** A seed whose evenings hold resets, artefacts, a start that failed, and end in an answer. */
const eveningsSeed = 233;

/**
 * The week before, on the same observatory's second bench: the card that sharpens its images and its spare, tuned by offset
 * with a power limit, a set of memory over several trainings, and the archive's processor core by core. Invented, with luck of its own, so that the days after it stay what
 * they are without it.
 */
export function otherBenches(now: string, seed = eveningsSeed): Scenario {
  const today = Math.floor(Date.parse(now) / dayMs) * dayMs;
  const evening = (daysBefore: number) => today - daysBefore * dayMs + 18 * hourMs;
  const kept = seededKeeper(seededRandom(seed + 11));
  const card = onEvening(imageCard, evening(9), kept, seed + 12);
  const memory = onEvening(memorySet, evening(8), kept, seed + 13);
  const spare = onEvening(spareCard(card), evening(7), kept, seed + 14);
  const archive = onEvening(archiveCores, evening(10), seededKeeper(seededRandom(seed + 15)), seed + 26);
  const all = <Thing>(of: (one: Scenario) => readonly Thing[]): readonly Thing[] =>
    [card, memory, spare, archive].flatMap(of);
  return {
    chips: all(({ chips }) => chips),
    boards: all(({ boards }) => boards),
    workloads: all(({ workloads }) => workloads),
    rules: all(({ rules }) => rules),
    builds: all(({ builds }) => builds),
    mounts: all(({ mounts }) => mounts),
    attempts: all(({ attempts }) => attempts),
    noise: [],
  };
}

function onEvening(
  benchOf: (kept: Keeper, at: string) => OtherBench,
  startMs: number,
  kept: Keeper,
  seed: number,
): Scenario {
  const random = seededRandom(seed);
  const { scenario, build, paste, evening } = benchOf(kept, new Date(startMs - hourMs).toISOString());
  const mount: Mount = {
    ...kept(build.createdAt),
    buildId: build.id,
    ...mountFrom({ mountedAt: null, paste, note: "" }),
  };
  const attempts: Attempt[] = [];
  let ms = startMs;
  evening(
    {
      rest: (minutes) => {
        ms += Math.round(minutes * 60) * 1000;
      },
      wrote: (draft) => {
        const startedAt = new Date(ms).toISOString();
        ms += Math.ceil(draft.durationS) * 1000;
        const endedAt = new Date(ms).toISOString();
        attempts.push({
          ...kept(startedAt),
          updatedAt: endedAt,
          ...{ buildId: build.id, mountId: mount.id, asBuilt: partsOf(build), setAside: null },
          ...attemptFrom({ ...draft, startedAt }, endedAt),
        });
        ms += 120_000;
      },
    },
    random,
  );
  return { ...scenario, builds: [build], mounts: [mount], attempts, noise: [] };
}
