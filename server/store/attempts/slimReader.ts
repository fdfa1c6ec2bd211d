import { and, Column, type SQL, sql } from "drizzle-orm";
import {
  type AttemptFieldName,
  fieldDescription,
  type KeptFields,
} from "../../bench/things/attemptFields.ts";
import type { Db } from "../rows/db.ts";
import { attempts } from "../rows/schema.ts";
import { whenAsked } from "../rows/whenAsked.ts";
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
  all(buildId: string): Slim<Name>[];
  /** The same a few hundred at a time, for whoever lets others go first. */
  inSlices(buildId: string): Generator<Slim<Name>[]>;
}>;

const sliceOf = 250;

const later = sql`(${attempts.startedAt}, ${attempts.id}) > (${sql.placeholder("at")}, ${sql.placeholder("id")})`;

/**
 * Reads of a build's attempts only the fields named: those that ended and are not set aside, oldest first. Tens of
 * thousands are read for one answer, so they are taken as the driver gives them: mapped by the query builder they cost
 * five times as much.
 */
export function slimReader<Name extends keyof AttemptRow>(db: Db, names: readonly Name[]): SlimReader<Name> {
  const selected = (which?: SQL) =>
    db
      .select(Object.fromEntries(names.map((name) => [name, attempts[name]])))
      .from(attempts)
      .where(and(countedRows, which))
      .orderBy(...oldestFirst);
  const rows = whenAsked(() => selected().prepare());
  const slice = whenAsked(() => selected(later).limit(sliceOf).prepare());
  const slimmer = slimOf(names);
  const placeOf = (name: "id" | "startedAt"): number => (names as readonly string[]).indexOf(name);
  return {
    all: (buildId) => (rows().values({ build: buildId }) as unknown[][]).map(slimmer()),
    *inSlices(buildId) {
      const slim = slimmer();
      const [at, id] = [placeOf("startedAt"), placeOf("id")];
      let held: unknown[][];
      let last: unknown[] | undefined;
      do {
        const after = { at: last?.[at] ?? -Infinity, id: last?.[id] ?? "" };
        held = slice().values({ build: buildId, ...after });
        if (held.length > 0) yield held.map(slim);
        last = held.at(-1);
      } while (held.length === sliceOf);
    },
  };
}

/**
 * Each row is a copy of a blank one, and so laid out like it: one that is put together field by field, in a constructor too,
 * is kept as a table of its own past a dozen fields, in seven times the memory and read five times as slowly. What many
 * rows of one reading say in the same words, their mount or how they ended, they hold as one text.
 */
function slimOf<Name extends keyof AttemptRow>(names: readonly Name[]): () => (row: unknown[]) => Slim<Name> {
  const fields = names.map((name) => ({ name, decode: decoderOf(name) }));
  const blank: Record<string, unknown> = Object.fromEntries(names.map((name) => [name, blankOf(name)]));
  return () => {
    const words = new Map<unknown, unknown>();
    const once = (held: unknown): unknown => {
      const known = words.get(held);
      if (known !== undefined) return known;
      words.set(held, held);
      return held;
    };
    return (row) => {
      const own = { ...blank };
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
