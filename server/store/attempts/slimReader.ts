import { Column } from "drizzle-orm";
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

/**
 * Reads of a build's attempts only the fields named: those that ended and are not set aside, oldest first. Tens of
 * thousands are read for one answer, so they are taken as the driver gives them: mapped by the query builder they cost
 * five times as much.
 */
export function slimReader<Name extends keyof AttemptRow>(
  db: Db,
  names: readonly Name[],
): (buildId: string) => Slim<Name>[] {
  const rows = whenAsked(() =>
    db
      .select(Object.fromEntries(names.map((name) => [name, attempts[name]])))
      .from(attempts)
      .where(countedRows)
      .orderBy(...oldestFirst)
      .prepare(),
  );
  const toSlim = slimOf(names);
  return (buildId) => (rows().values({ build: buildId }) as unknown[][]).map(toSlim);
}

/** Objects of one constructor share one layout; put together field by field outside one they cost three times as much. */
function slimOf<Name extends keyof AttemptRow>(names: readonly Name[]): (row: unknown[]) => Slim<Name> {
  const fields = names.map((name) => ({ name, blank: blankOf(name), decode: decoderOf(name) }));
  const Row = class {
    constructor(row: unknown[]) {
      const own = this as Record<string, unknown>;
      for (let at = 0; at < fields.length; at++) {
        const { name, blank, decode } = fields[at]!;
        const held = row[at];
        own[name] = held === null ? blank : decode === null ? held : decode(held);
      }
    }
  };
  return (row) => new Row(row) as unknown as Slim<Name>;
}

const blankOf = (name: string): unknown => fieldDescription[name as AttemptFieldName]?.blank ?? null;

/** Null where the driver's own value is the field's. */
function decoderOf(name: keyof AttemptRow): ((held: unknown) => unknown) | null {
  const column = attempts[name] as Column;
  if (column.mapFromDriverValue === Column.prototype.mapFromDriverValue) return null;
  return (held) => column.mapFromDriverValue(held);
}
