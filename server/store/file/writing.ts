import type Database from "better-sqlite3";
import { conflict, Refusal } from "../../bench/things/refusal.ts";
import type { ChangesToTell } from "./changes.ts";
import { codeOf } from "./fileWords.ts";
import type { LogMark } from "./logMark.ts";
import { refusalTo, type Stopping } from "./stopping.ts";

/** How the journal is written: whole or not at all, and on the disk before anything is acknowledged. */
export type Writing = Readonly<{
  /** Runs `work` in the next commit, together with whatever else waits for it; resolves once that is on the disk. */
  write<Result>(work: () => Result): Promise<Result>;
  /** Runs `work` in a commit of its own, now. */
  writeNow<Result>(work: () => Result): Result;
  /**
   * From now on writes wait, until the function given is called: another connection is about to write for longer than
   * anyone should be held up by. What waits too long is refused.
   */
  holdWrites(): () => void;
  /** Grows with every commit, other connections' too; a cache that remembers it knows when it is stale. */
  revision(): number;
  /** How many writes were begun on this connection; tells one from the next. */
  begun(): number;
  /** Moves when another connection has committed. */
  committedElsewhere(): number;
}>;

type Waiting = { work: () => unknown; settle: (outcome: Outcome) => void };
type Outcome = { value: unknown } | { error: unknown };

/** Whoever is kept waiting longer is better told. */
const longestHeldMs = 10_000;

export function writingTo(
  client: Database.Database,
  mark: LogMark,
  stopping: Stopping,
  changes: ChangesToTell,
): Writing {
  const begin = client.prepare("BEGIN IMMEDIATE");
  const commit = client.prepare("COMMIT");
  const rollback = client.prepare("ROLLBACK");
  const savepoint = client.prepare("SAVEPOINT one");
  const keep = client.prepare("RELEASE one");
  const undo = client.prepare("ROLLBACK TO one");
  const outside = client.prepare("PRAGMA data_version").pluck();
  let waiting: Waiting[] = [];
  let holds = 0;
  let commits = 0;
  let begun = 0;
  let elsewhere: number | null = null;

  /** Stands until the turn ends or a write begins: asked for each thing a page shows, it was a tenth of the page. */
  function committedElsewhere(): number {
    if (elsewhere === null) {
      elsewhere = Number(outside.get());
      queueMicrotask(forgetElsewhere);
    }
    return elsewhere;
  }

  function forgetElsewhere(): void {
    elsewhere = null;
  }

  function beginOne(): void {
    const stop = stopping.stopped();
    if (stop) throw refusalTo(stop);
    for (;;) {
      mark.set();
      begin.run();
      if (mark.isSet()) break;
      rollback.run();
    }
    forgetElsewhere(); // others may have committed since this turn began, and can no more
    begun += 1;
  }

  const plainFault = (error: unknown): unknown =>
    stopping.refusalOf(error) ?? fullDisk(error) ?? heldByOther(error) ?? error;

  /** One work alone is undone with its transaction. */
  function commitOne(work: () => unknown): Outcome {
    try {
      beginOne();
      const value = work();
      commit.run();
      commits += 1;
      changes.tell();
      return { value };
    } catch (error) {
      if (client.inTransaction) rollback.run();
      changes.drop();
      return { error: plainFault(error) };
    }
  }

  /** Each of several has a savepoint, so that one that is refused spoils only itself. */
  function outcomeOf(work: () => unknown): Outcome {
    savepoint.run();
    try {
      const value = work();
      keep.run();
      return { value };
    } catch (error) {
      if (!client.inTransaction) throw error; // a full disk ends the whole transaction, and so the whole group
      undo.run();
      keep.run();
      return { error: plainFault(error) };
    }
  }

  function commitAll(works: readonly (() => unknown)[]): Outcome[] {
    const [only] = works;
    if (works.length === 1 && only) return [commitOne(only)];
    try {
      beginOne();
      const outcomes = works.map(outcomeOf);
      commit.run();
      commits += 1;
      changes.tell();
      return outcomes;
    } catch (error) {
      if (client.inTransaction) rollback.run();
      changes.drop();
      return works.map(() => ({ error: plainFault(error) }));
    }
  }

  function refuseLate(one: Waiting): void {
    const at = waiting.indexOf(one);
    if (at < 0) return;
    waiting.splice(at, 1);
    one.settle({ error: heldTooLong() });
  }

  function wait(one: Waiting): void {
    if (waiting.length === 0 && holds === 0) setImmediate(flush);
    waiting.push(one);
    if (holds > 0) setTimeout(() => refuseLate(one), longestHeldMs).unref();
  }

  function holdWrites(): () => void {
    holds += 1;
    for (const one of waiting) setTimeout(() => refuseLate(one), longestHeldMs).unref();
    return () => {
      holds -= 1;
      if (holds === 0 && waiting.length > 0) setImmediate(flush);
    };
  }

  function flush(): void {
    if (holds > 0) return;
    const group = waiting;
    waiting = [];
    const outcomes = commitAll(group.map((one) => one.work));
    group.forEach((one, i) => {
      one.settle(outcomes[i] ?? { error: new Error("A write was not done.") });
    });
  }

  return {
    write: <Result>(work: () => Result) =>
      new Promise<Result>((resolve, reject) => {
        wait({
          work,
          settle: (outcome) =>
            "error" in outcome ? reject(outcome.error) : resolve(outcome.value as Result),
        });
      }),
    writeNow: <Result>(work: () => Result) => {
      if (client.inTransaction) return work();
      const [outcome] = commitAll([work]);
      if (!outcome || "error" in outcome) throw outcome?.error;
      return outcome.value as Result;
    },
    holdWrites,
    revision: () => commits + committedElsewhere(),
    begun: () => begun,
    committedElsewhere,
  };
}

const heldTooLong = () =>
  conflict(
    "Another journal or a long log is being taken in just now. Nothing of this was kept; send it again in a moment.",
  );

/** A full disk is the owner's to mend, so it is a refusal with words; other faults stay as they are. */
const fullDisk = (error: unknown): Refusal | null =>
  codeOf(error).startsWith("SQLITE_FULL")
    ? new Refusal("full", "The disk is full, so nothing was kept. Make room, then try again.")
    : null;

/** Another program may hold the file for longer than is waited. */
const heldByOther = (error: unknown): Refusal | null =>
  codeOf(error).startsWith("SQLITE_BUSY")
    ? conflict(
        "Another program is writing to the journal's file just now. Nothing of this was kept; send it again in a moment.",
      )
    : null;
