import type { Attempt } from "../bench/things/attempt.ts";
import type { Heartbeat } from "../bench/things/heartbeat.ts";
import type { Journal } from "../store/file/journal.ts";

export type Interrupted = Attempt &
  Readonly<{
    /** From the machine under test: a watching page goes on when the bench has frozen, so its time is not offered. */
    lastHeartbeat: Pick<Heartbeat, "elapsedS" | "at" | "from"> | null;
  }>;

/** Attempts found still running at start-up: how they ended is for the tester to say. */
export function interruptedAttempts(journal: Journal): Interrupted[] {
  return journal.attempts
    .running()
    .filter((attempt) => journal.interrupted.has(attempt.id))
    .map((attempt) => ({ ...attempt, lastHeartbeat: lastHeartbeatOf(journal, attempt.id) }));
}

function lastHeartbeatOf(journal: Journal, attemptId: string): Interrupted["lastHeartbeat"] {
  const beat = journal.attempts.lastHeartbeat(attemptId, "machine");
  return beat ? { elapsedS: beat.elapsedS, at: beat.at, from: beat.from } : null;
}
