import { setTimeout as pause } from "node:timers/promises";
import type { CourseQuestion } from "../../answers/heatOfAttempt.ts";
import { type HeatRooms, type TraceSoFar, traceComing, traceSoFar } from "../../answers/heatReckoned.ts";
import type { Attempt } from "../../bench/things/attempt.ts";

/** A page waits no longer for a long trace to be read, and swaps what it says in instead. */
const patienceMs = 400;

/** What a trace says so far; null where that is not known soon enough. */
export async function traceSoon(
  rooms: HeatRooms,
  attempt: Attempt,
  asked: CourseQuestion = {},
): Promise<TraceSoFar | null> {
  const known = traceSoFar(rooms, attempt, asked);
  if (known !== null) return known;
  const coming = traceComing(rooms, attempt, asked);
  coming.catch(() => undefined);
  return Promise.race([coming, pause(patienceMs, null)]);
}
