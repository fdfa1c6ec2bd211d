import { eq } from "drizzle-orm";
import { type Attempt, attemptOf } from "../../bench/things/attempt.ts";
import { type AttemptFieldName, attemptFieldNames, copyFields } from "../../bench/things/attemptFields.ts";
import type { Parts } from "../../bench/things/build.ts";
import { mouldOf } from "../../bench/things/mould.ts";
import type { Kept } from "../../bench/things/thing.ts";
import type { Db } from "../rows/db.ts";
import { keptOf } from "../rows/keptRows.ts";
import { attempts, buildStates } from "../rows/schema.ts";

export type AttemptRow = typeof attempts.$inferSelect;

/** What is written of an attempt; the parts it ran with are kept apart, as a state of its build. */
export type AttemptFields = Omit<Attempt, keyof Kept | "asBuilt">;

export function toAttempt(row: AttemptRow, asBuilt: Parts): Attempt {
  const { setAsideReason, setAsideAt, startedAt, buildId, mountId } = row;
  const setAside = setAsideReason === null ? null : { reason: setAsideReason, at: setAsideAt ?? startedAt };
  const attempt = attemptOf(row, { ...keptOf(row), buildId, mountId, setAside, asBuilt });
  const lists = { alsoSet: row.alsoSet ?? [], tags: row.tags ?? [], errors: row.errors ?? [] };
  return Object.assign(attempt, lists);
}

const blankColumns = mouldOf([
  ...attemptFieldNames,
  ...(["buildId", "mountId", "stateId", "setAsideReason", "setAsideAt"] as const),
]);

/** Lists that are empty are not written: most are, and a column that is blank costs nothing. */
export function toAttemptColumns(attempt: AttemptFields, stateId: number) {
  const { buildId, mountId, alsoSet, tags, errors, setAside } = attempt;
  const columns = blankColumns();
  copyFields(attempt, columns);
  return Object.assign(columns as Pick<AttemptRow, AttemptFieldName>, {
    buildId,
    mountId,
    stateId,
    alsoSet: alsoSet.length > 0 ? alsoSet : null,
    tags: tags.length > 0 ? tags : null,
    errors: errors.length > 0 ? errors : null,
    setAsideReason: setAside?.reason ?? null,
    setAsideAt: setAside?.at ?? null,
  });
}

export type JoinedRow = Readonly<{ attempt: AttemptRow; parts: Parts }>;

/** Attempts with the parts they ran with; to be narrowed and ordered by whoever asks. */
export const joinedRows = (db: Db) =>
  db
    .select({ attempt: attempts, parts: buildStates.parts })
    .from(attempts)
    .innerJoin(buildStates, eq(buildStates.id, attempts.stateId));

export const fromJoined = ({ attempt, parts }: JoinedRow): Attempt => toAttempt(attempt, parts);
