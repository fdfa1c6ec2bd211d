import { setTimeout as pause } from "node:timers/promises";
import type { CourseQuestion, HeatFound, TraceFound } from "../../answers/heatOfAttempt.ts";
import { type HeatRooms, traceKnown, traceOfAttempt } from "../../answers/heatReckoned.ts";
import type { Attempt } from "../../bench/things/attempt.ts";

/** A page waits no longer for a long trace to be read, and swaps what it says in instead. */
const patienceMs = 400;

/** What a trace says where it is known soon enough. */
export async function traceSoon(
  rooms: HeatRooms,
  attempt: Attempt,
  asked: CourseQuestion = {},
): Promise<TraceFound | null | "awaited"> {
  const known = traceKnown(rooms, attempt, asked);
  if (known !== "awaited") return known;
  const coming = traceOfAttempt(rooms, attempt, asked);
  coming.catch(() => undefined);
  return Promise.race([coming, pause(patienceMs, "awaited" as const)]);
}

/** The same of its temperature alone. */
export async function heatSoon(rooms: HeatRooms, attempt: Attempt): Promise<HeatFound | null | "awaited"> {
  const found = await traceSoon(rooms, attempt);
  return found === "awaited" ? found : (found?.heat ?? null);
}
