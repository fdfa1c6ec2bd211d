import { stampIn } from "../bench/document/account.ts";
import type { GaveWay, Hanging } from "../bench/document/gaveWay.ts";
import type { Attempt } from "../bench/things/attempt.ts";
import { conflict } from "../bench/things/refusal.ts";
import type { Journal } from "../store/file/journal.ts";
import type { At } from "./context.ts";
import { noteGaveWay, outputGivenWay, traceGivenWay } from "./gaveWay.ts";
import { found } from "./keeping.ts";
import { chunksIn, packedHere, putTraceBack } from "./keptTrace.ts";
import { replacing } from "./undoMerge.ts";

/** What gave way of an attempt and does not stand there now, the latest first. */
export const gaveWayOfAttempt = (id: string, journal: Journal): readonly GaveWay[] =>
  journal.attempts
    .gaveWayOf(id)
    .filter((one) => !stands(one, journal))
    .toReversed();

function stands(one: GaveWay, { attempts, traces }: Journal): boolean {
  if (one.what === "output") return one.output === attempts.outputOf(one.attemptId);
  const standing = traces.outline(one.attemptId);
  const { keptAt, rows, source } = one.trace;
  return standing?.keptAt === keptAt && standing.rows === rows && standing.source === source;
}

/** Lets what gave way stand again, and what stands give way to it. A trace goes back within the day by undoing, too. */
export function bringGaveWayBack(id: string, stamp: string, at: At): Attempt {
  const { journal } = at;
  const attempt = found(journal.attempts.find(id), "attempt");
  if (attempt.outcome === "running")
    throw conflict("This attempt is still running; nothing can take the place of what it reads.");
  const one = found(
    journal.attempts.gaveWayOf(id).find((each) => each.stamp === stamp),
    "trace or output of this attempt that gave way",
  );
  if (stands(one, journal)) return attempt;
  const standing = standingNow(id, one.what, journal);
  if (standing !== null) noteGaveWay(standing, journal, null);
  if (one.what === "trace") replacing("ownTraces", [id], at, () => putTraceBack(journal, id, one.trace));
  else journal.attempts.keepOutput(id, one.output);
  journal.attempts.noteHanging(id, one.what, at.now);
  return attempt;
}

function standingNow(id: string, what: Hanging, journal: Journal): GaveWay | null {
  const account = journal.attempts.accountOf(id);
  if (account === undefined) return null;
  const written = stampIn(account.stamps, what);
  const output = journal.attempts.outputOf(id);
  if (what === "output") return output === undefined ? null : outputGivenWay(id, written, output);
  const trace = journal.traces.outline(id);
  return trace ? traceGivenWay(id, written, trace, chunksIn(packedHere(journal, id))) : null;
}
