import { LRUCache } from "lru-cache";
import type { TraceFigures } from "../bench/heat/traceFigures.ts";
import type { Attempt } from "../bench/things/attempt.ts";
import type { Journal } from "../store/file/journal.ts";
import { type CourseQuestion, type TraceFound, traceFoundIn, usualChannel } from "./heatOfAttempt.ts";
import type { Reckonings } from "./reckoned.ts";

/** Where traces are read: a short one here, a long one in a thread that opens the journal for itself. */
export type HeatRooms = Readonly<{ journal: Journal; reckonings: Reckonings; migrations: string }>;

export type TraceHeatQuestion = Readonly<{
  journalFile: string;
  migrations: string;
  attemptId: string;
  asked: CourseQuestion;
  /** What the trace and the attempt were when they were asked about: an answer is kept until either changes. */
  state: readonly (string | number)[];
}>;

/** What so many rows say takes some eighty milliseconds; more would hold up whoever else asks. */
const rowsAtOnce = 2000;

/** What the trace of an attempt says of its heat; waits for a long one. Null where there is no such temperature. */
export const heatOf = async (rooms: HeatRooms, attempt: Attempt, asked: CourseQuestion = {}) =>
  (await traceOfAttempt(rooms, attempt, asked))?.heat ?? null;

/** What the trace measured of the setting it ran at; waits for a long one. Null where there is no trace. */
export const figuresOf = async (rooms: HeatRooms, attempt: Attempt): Promise<TraceFigures | null> =>
  (await traceOfAttempt(rooms, attempt))?.figures ?? null;

export async function traceOfAttempt(
  rooms: HeatRooms,
  attempt: Attempt,
  asked: CourseQuestion = {},
): Promise<TraceFound | null> {
  const known = traceKnown(rooms, attempt, asked);
  if (known !== "awaited") return known;
  const request = requestTo(rooms, attempt, asked);
  return rooms.reckonings.now<TraceFound | null>("heat", keyOf(request), () => request);
}

export function traceKnown(
  rooms: HeatRooms,
  attempt: Attempt,
  asked: CourseQuestion = {},
): TraceFound | null | "awaited" {
  const outline = rooms.journal.traces.outline(attempt.id);
  if (outline === undefined) return null;
  const request = requestTo(rooms, attempt, asked);
  if (outline.rows <= rowsAtOnce) return keptOr(rooms.journal, request, attempt);
  const latest = rooms.reckonings.latest<TraceFound | null>("heat", keyOf(request), () => request);
  return latest?.fresh === true ? latest.answer : "awaited";
}

/** The last reading of a trace; of one that grows it may lie somewhat back. */
export type TraceSoFar = Readonly<{ found: TraceFound | null; isNewest: boolean }>;

/**
 * What is known of a trace without waiting; null where it was never read. One that grows is told as far as it was read
 * last, and read anew meanwhile.
 */
export function traceSoFar(
  rooms: HeatRooms,
  attempt: Attempt,
  asked: CourseQuestion = {},
): TraceSoFar | null {
  if (!isGrowing(rooms, attempt)) {
    const known = traceKnown(rooms, attempt, asked);
    return known === "awaited" ? null : { found: known, isNewest: true };
  }
  const request = growingRequest(rooms, attempt, asked);
  const latest = rooms.reckonings.latest<TraceFound | null>("heat", growingKey(request), () => request);
  return latest && { found: latest.answer, isNewest: latest.fresh };
}

/** The same; waits where it was never read. */
export async function traceComing(
  rooms: HeatRooms,
  attempt: Attempt,
  asked: CourseQuestion = {},
): Promise<TraceSoFar> {
  const known = traceSoFar(rooms, attempt, asked);
  if (known !== null) return known;
  if (!isGrowing(rooms, attempt))
    return { found: await traceOfAttempt(rooms, attempt, asked), isNewest: true };
  const request = growingRequest(rooms, attempt, asked);
  const found = await rooms.reckonings.now<TraceFound | null>("heat", growingKey(request), () => request);
  return { found, isNewest: true };
}

/** One that was interrupted takes no more samples until it is taken up again. */
const isGrowing = ({ journal }: HeatRooms, { id, outcome }: Attempt): boolean =>
  outcome === "running" && !journal.interrupted.has(id) && journal.traces.outline(id) !== undefined;

/** A growing trace is read anew once so much has come: ten seconds, of a long one a hundredth at most. */
function growingRequest(rooms: HeatRooms, attempt: Attempt, asked: CourseQuestion): TraceHeatQuestion {
  const { id, toS } = rooms.journal.traces.outline(attempt.id) ?? { id: 0, toS: 0 };
  const stepS = Math.max(10, 10 ** Math.floor(Math.log10(Math.max(1, toS))) / 100);
  const state = [attempt.version, id, stepS, Math.floor(toS / stepS)];
  return { ...requestTo(rooms, attempt, asked), state };
}

const growingKey = (request: TraceHeatQuestion): string => `growing ${keyOf({ ...request, state: [] })}`;

function requestTo(
  { journal, migrations }: HeatRooms,
  attempt: Attempt,
  asked: CourseQuestion,
): TraceHeatQuestion {
  const { id, rows, keptAt } = journal.traces.outline(attempt.id) ?? { id: 0, rows: 0, keptAt: "" };
  const state = [attempt.version, id, rows, keptAt];
  return { journalFile: journal.file, migrations, attemptId: attempt.id, asked, state };
}

const keyOf = ({ attemptId, asked, state }: TraceHeatQuestion): string =>
  JSON.stringify([attemptId, asked.channel ?? usualChannel, asked.loadStartS, asked.fromS, asked.toS, state]);

const mostKept = 200;
type Found = Readonly<{ found: TraceFound | null }>;
const kept = new WeakMap<Journal, LRUCache<string, Found>>();

function keptOr(journal: Journal, request: TraceHeatQuestion, attempt: Attempt): TraceFound | null {
  const known = kept.get(journal) ?? new LRUCache<string, Found>({ max: mostKept });
  kept.set(journal, known);
  const key = keyOf(request);
  const before = known.get(key);
  if (before) return before.found;
  const found = traceFoundIn(journal, attempt, request.asked);
  known.set(key, { found });
  return found;
}
