import { setTimeout as pause } from "node:timers/promises";
import type { HeatAsked, HeatFound } from "../../answers/heatOfAttempt.ts";
import { type HeatRooms, heatKnown, heatOf } from "../../answers/heatReckoned.ts";
import type { Attempt } from "../../bench/things/attempt.ts";

/** A page waits no longer for a long trace to be read, and swaps what it says in instead. */
const patienceMs = 400;

/** What a trace says where it is known soon enough. */
export async function heatSoon(
  rooms: HeatRooms,
  attempt: Attempt,
  asked: HeatAsked = {},
): Promise<HeatFound | null | "awaited"> {
  const known = heatKnown(rooms, attempt, asked);
  if (known !== "awaited") return known;
  const coming = heatOf(rooms, attempt, asked);
  coming.catch(() => undefined);
  return Promise.race([coming, pause(patienceMs, "awaited" as const)]);
}
