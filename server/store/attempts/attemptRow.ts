import { eq } from "drizzle-orm";
import type { Attempt } from "../../bench/things/attempt.ts";
import { keptFieldsOf } from "../../bench/things/attemptFields.ts";
import type { Parts } from "../../bench/things/build.ts";
import type { Kept } from "../../bench/things/thing.ts";
import type { Db } from "../rows/db.ts";
import { keptOf } from "../rows/keptRows.ts";
import { attempts, buildStates } from "../rows/schema.ts";

export type AttemptRow = typeof attempts.$inferSelect;

/** What is written of an attempt; the parts it ran with are kept apart, as a state of its build. */
export type AttemptFields = Omit<Attempt, keyof Kept | "asBuilt">;

/** Assigned, not spread: an object this wide takes ten times as long to spread, and lists of thousands are read. */
export const toAttempt = (row: AttemptRow, asBuilt: Parts): Attempt =>
  Object.assign({ ...keptOf(row), buildId: row.buildId, mountId: row.mountId }, keptFieldsOf(row), {
    alsoSet: row.alsoSet ?? [],
    tags: row.tags ?? [],
    errors: row.errors ?? [],
    setAside:
      row.setAsideReason === null
        ? null
        : { reason: row.setAsideReason, at: row.setAsideAt ?? row.startedAt },
    asBuilt,
  });

/** Lists that are empty are not written: most are, and a column that is blank costs nothing. */
export const toAttemptColumns = (attempt: AttemptFields, stateId: number) =>
  Object.assign(keptFieldsOf(attempt), {
    buildId: attempt.buildId,
    mountId: attempt.mountId,
    stateId,
    alsoSet: attempt.alsoSet.length > 0 ? attempt.alsoSet : null,
    tags: attempt.tags.length > 0 ? attempt.tags : null,
    errors: attempt.errors.length > 0 ? attempt.errors : null,
    setAsideReason: attempt.setAside?.reason ?? null,
    setAsideAt: attempt.setAside?.at ?? null,
  });

export type JoinedRow = Readonly<{ attempt: AttemptRow; parts: Parts }>;

/** Attempts with the parts they ran with; to be narrowed and ordered by whoever asks. */
export const joinedRows = (db: Db) =>
  db
    .select({ attempt: attempts, parts: buildStates.parts })
    .from(attempts)
    .innerJoin(buildStates, eq(buildStates.id, attempts.stateId));

export const fromJoined = ({ attempt, parts }: JoinedRow): Attempt => toAttempt(attempt, parts);
