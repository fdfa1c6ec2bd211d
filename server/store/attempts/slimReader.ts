import { and, Column, type SQL, sql } from "drizzle-orm";
import {
  type AttemptFieldName,
  fieldDescription,
  type KeptFields,
} from "../../bench/things/attemptFields.ts";
import { mouldOf } from "../../bench/things/mould.ts";
import { toMs } from "../rows/columns.ts";
import type { Db } from "../rows/db.ts";
import type { Place, RowsBeyond } from "../rows/memory.ts";
import { attempts } from "../rows/schema.ts";
import { whenAsked } from "../rows/statements.ts";
import type { AttemptRow } from "./attemptRow.ts";
import { countedRows, oldestFirst } from "./countedRows.ts";

/** Rows that count have ended, so how long they ran is known. */
type Held<Name extends keyof AttemptRow> = Name extends "durationS"
  ? number
  : Name extends AttemptFieldName
    ? KeptFields[Name]
    : AttemptRow[Name];
type Slim<Names extends keyof AttemptRow> = { readonly [Name in Names]: Held<Name> };

export type SlimReader<Name extends keyof AttemptRow> = Readonly<{
  rowsOf(buildId: string): RowsBeyond<Slim<Name>, Slim<Name>[]>;
  /** The same a few hundred at a time, for whoever lets others go first. */
  slicesOf(buildId: string): RowsBeyond<Slim<Name>, Generator<Slim<Name>[]>>;
}>;

/** What a row lies in order by. */
type InOrder = "id" | "startedAt";

const sliceOf = 250;

const later = sql`(${attempts.startedAt}, ${attempts.id}) > (${sql.placeholder("at")}, ${sql.placeholder("id")})`;

/**
 * Reads of a build's attempts only the fields named: those that ended and are not set aside, oldest first. Tens of
 * thousands are read for one answer, so they are taken as the driver gives them: mapped by the query builder they cost
 * five times as much.
 */
export function slimReader<Name extends keyof AttemptRow>(
  db: Db,
  names: readonly (Name | InOrder)[],
): SlimReader<Name | InOrder> {
  const selected = (which?: SQL) =>
    db
      .select(Object.fromEntries(names.map((name) => [name, attempts[name]])))
      .from(attempts)
      .where(and(countedRows, which))
      .orderBy(...oldestFirst);
  const rows = whenAsked(() => selected().prepare());
  const rest = whenAsked(() => selected(later).prepare());
  const slice = whenAsked(() => selected(later).limit(sliceOf).prepare());
  const slimmer = slimOf(names);
  const placeOf = ({ startedAt, id }: Slim<InOrder>): Place => ({ at: toMs(startedAt), id });

  function read(build: string, beyond: Slim<InOrder> | undefined) {
    const held =
      beyond === undefined ? rows().values({ build }) : rest().values({ build, ...placeOf(beyond) });
    return (held as unknown[][]).map(slimmer());
  }

  function* readInSlices(build: string, beyond: Slim<InOrder> | undefined) {
    const slim = slimmer();
    let after = beyond === undefined ? { at: -Infinity, id: "" } : placeOf(beyond);
    for (;;) {
      const held = (slice().values({ build, ...after }) as unknown[][]).map(slim);
      const last = held.at(-1);
      if (last === undefined) return;
      yield held;
      if (held.length < sliceOf) return;
      after = placeOf(last);
    }
  }

  return {
    rowsOf: (buildId) => ({ placeOf, read: (beyond) => read(buildId, beyond) }),
    slicesOf: (buildId) => ({ placeOf, read: (beyond) => readInSlices(buildId, beyond) }),
  };
}

/** What many rows of one reading say in the same words, their mount or how they ended, they hold as one text. */
function slimOf<Name extends keyof AttemptRow>(names: readonly Name[]): () => (row: unknown[]) => Slim<Name> {
  const fields = names.map((name) => ({ name, decode: decoderOf(name) }));
  const blankRow = mouldOf(names, blankOf);
  return () => {
    const words = new Map<unknown, unknown>();
    const once = (held: unknown): unknown => {
      const known = words.get(held);
      if (known !== undefined) return known;
      words.set(held, held);
      return held;
    };
    return (row) => {
      const own = blankRow();
      for (let at = 0; at < fields.length; at++) {
        const { name, decode } = fields[at]!;
        const held = row[at];
        if (held === null) continue;
        if (decode !== null) own[name] = decode(held);
        else own[name] = typeof held === "string" && name !== "id" ? once(held) : held;
      }
      return own as unknown as Slim<Name>;
    };
  };
}

const blankOf = (name: string): unknown => fieldDescription[name as AttemptFieldName]?.blank ?? null;

/** Null where the driver's own value is the field's. */
function decoderOf(name: keyof AttemptRow): ((held: unknown) => unknown) | null {
  const column = attempts[name] as Column;
  if (column.mapFromDriverValue === Column.prototype.mapFromDriverValue) return null;
  return (held) => column.mapFromDriverValue(held);
}
