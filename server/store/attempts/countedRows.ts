import { and, asc, eq, isNull, ne, sql } from "drizzle-orm";
import { attempts } from "../rows/schema.ts";

/** The attempts of one build that answers rest on: ended, not deleted, not set aside. The build is a placeholder. */
export const countedRows = and(
  eq(attempts.buildId, sql.placeholder("build")),
  isNull(attempts.deletedAt),
  isNull(attempts.setAsideReason),
  ne(attempts.outcome, "running"),
);

export const oldestFirst = [asc(attempts.startedAt), asc(attempts.id)] as const;
