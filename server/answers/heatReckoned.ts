import type { TraceFigures } from "../bench/heat/traceFigures.ts";
import type { Attempt } from "../bench/things/attempt.ts";
import type { Journal } from "../store/file/journal.ts";
import { type HeatAsked, type HeatFound, type TraceFound, traceFoundIn } from "./heatOfAttempt.ts";
import type { Reckonings } from "./reckoned.ts";

/** Where traces are read: a short one here, a long one in a thread that opens the journal for itself. */
export type HeatRooms = Readonly<{ journal: Journal; reckonings: Reckonings; migrations: string }>;

export type HeatRequest = Readonly<{
  journalFile: string;
  migrations: string;
  attemptId: string;
  asked: HeatAsked;
  /** What the trace and the attempt were when they were asked about: an answer is kept until either changes. */
  state: readonly (string | number)[];
}>;

/** So many rows are read in some twenty milliseconds; more would hold up whoever else asks. */
const rowsAtOnce = 6000;

/** What the trace of an attempt says of its heat; waits for a long one. Null where there is no such temperature. */
export const heatOf = async (rooms: HeatRooms, attempt: Attempt, asked: HeatAsked = {}) =>
  (await traceOf(rooms, attempt, asked))?.heat ?? null;

/** What the trace measured of the setting it ran at; waits for a long one. Null where there is no trace. */
export const figuresOf = async (rooms: HeatRooms, attempt: Attempt): Promise<TraceFigures | null> =>
  (await traceOf(rooms, attempt))?.figures ?? null;

export async function traceOf(
  rooms: HeatRooms,
  attempt: Attempt,
  asked: HeatAsked = {},
): Promise<TraceFound | null> {
  const known = traceKnown(rooms, attempt, asked);
  if (known !== "awaited") return known;
  const request = requestTo(rooms, attempt, asked);
  return rooms.reckonings.now<TraceFound | null>("heat", keyOf(request), () => request);
}

/** The same at once, or that it is being read. */
export function heatKnown(
  rooms: HeatRooms,
  attempt: Attempt,
  asked: HeatAsked = {},
): HeatFound | null | "awaited" {
  const known = traceKnown(rooms, attempt, asked);
  return known === "awaited" ? known : (known?.heat ?? null);
}

export function traceKnown(
  rooms: HeatRooms,
  attempt: Attempt,
  asked: HeatAsked = {},
): TraceFound | null | "awaited" {
  const outline = rooms.journal.traces.outline(attempt.id);
  if (outline === undefined) return null;
  const request = requestTo(rooms, attempt, asked);
  if (outline.rows <= rowsAtOnce) return keptOr(rooms.journal, request, attempt);
  const latest = rooms.reckonings.latest<TraceFound | null>("heat", keyOf(request), () => request);
  return latest?.fresh === true ? latest.answer : "awaited";
}

function requestTo({ journal, migrations }: HeatRooms, attempt: Attempt, asked: HeatAsked): HeatRequest {
  const { id, rows, keptAt } = journal.traces.outline(attempt.id) ?? { id: 0, rows: 0, keptAt: "" };
  const state = [attempt.version, id, rows, keptAt];
  return { journalFile: journal.file, migrations, attemptId: attempt.id, asked, state };
}

const keyOf = ({ attemptId, asked, state }: HeatRequest): string =>
  JSON.stringify([attemptId, asked.channel, asked.loadStartS, asked.fromS, asked.toS, state]);

const mostKept = 200;
const kept = new WeakMap<Journal, Map<string, TraceFound | null>>();

function keptOr(journal: Journal, request: HeatRequest, attempt: Attempt): TraceFound | null {
  const known = kept.get(journal) ?? new Map<string, TraceFound | null>();
  kept.set(journal, known);
  const key = keyOf(request);
  const before = known.get(key);
  if (before !== undefined) return before;
  const found = traceFoundIn(journal, attempt, request.asked);
  if (known.size >= mostKept) known.clear();
  known.set(key, found);
  return found;
}
