import {
  contextOf,
  deletedStamps,
  earlierStamps,
  editedStamps,
  isDeleted,
  isPlain,
  latestIn,
  raisedStamps,
  restoredStamps,
  type StampedEdit,
  type Stamps,
  type ThingAccount,
  updatedAtOf,
} from "../../bench/document/account.ts";
import { type MergedList, registerOf } from "../../bench/document/registers.ts";
import { nextStamp } from "../../bench/document/stamp.ts";
import type { Kept } from "../../bench/things/thing.ts";
import { toInstant, toInstantOrNull, toMs } from "./columns.ts";
import type { editLog } from "./editLog.ts";

/** Who writes: drawn anew each time a journal is opened, since a copied or restored file would write under the same name. */
export type Writer = () => string;

/** What of a row its account is made of. */
export type StampedRow = Readonly<{ version: number; deletedAt: number | null; stamps: Stamps | null }>;

const notItsOwn: ReadonlySet<string> = new Set(["id", "createdAt", "updatedAt", "version", "mountId"]);

/** Where edits, deletions and their stamps of one list are worked out. */
export function accountsOf(list: MergedList, log: ReturnType<typeof editLog>, writer: Writer) {
  const editsOf = (id: string, row: StampedRow): StampedEdit[] =>
    row.version === 1 && row.stamps === null ? [] : log.editsOf(id);

  const stampsOf = (thing: Kept, row: StampedRow, edits: readonly StampedEdit[]): Stamps =>
    row.stamps ?? earlierStamps(list, thing, edits, toInstantOrNull(row.deletedAt));

  function accountOf(thing: Kept, row: StampedRow): ThingAccount {
    const edits = editsOf(thing.id, row);
    return {
      id: thing.id,
      createdAt: thing.createdAt,
      version: thing.version,
      fields: Object.fromEntries(Object.entries(thing).filter(([field]) => !notItsOwn.has(field))),
      stamps: stampsOf(thing, row, edits),
      edits,
    };
  }

  return {
    accountOf,
    /** The stamps a thing has once it is edited to `after`, with the edit noted; null where nothing changes. */
    edited(before: Kept, after: Kept, row: StampedRow, now: string): Stamps | null {
      const changes = changesBetween(before, after);
      if (Object.keys(changes).length === 0) return null;
      const stamps = stampsOf(before, row, editsOf(before.id, row));
      const stamp = nextStamp(now, latestIn(stamps), writer());
      log.note(before.id, { at: now, changes, stamp, seen: contextOf(stamps) });
      const registers = Object.keys(changes)
        .filter((field) => field !== "mountId")
        .map((field) => registerOf(list, field));
      return editedStamps(stamps, registers, stamp);
    },
    /** Something that hangs on a thing was written, and is no field of it. */
    written(thing: Kept, row: StampedRow, register: string, now: string): Stamps {
      const stamps = stampsOf(thing, row, editsOf(thing.id, row));
      return editedStamps(stamps, [register], nextStamp(now, latestIn(stamps), writer()));
    },
    deleted(thing: Kept, row: StampedRow, now: string): Stamps {
      const stamps = stampsOf(thing, row, editsOf(thing.id, row));
      return deletedStamps(stamps, nextStamp(now, latestIn(stamps), writer()), now);
    },
    restored(thing: Kept, row: StampedRow): Stamps {
      const stamps = stampsOf(thing, row, editsOf(thing.id, row));
      return restoredStamps(stamps, nextStamp(toInstant(0), latestIn(stamps), writer()));
    },
    raised: (thing: Kept, row: StampedRow): Stamps =>
      raisedStamps(stampsOf(thing, row, editsOf(thing.id, row))),
  };
}

const unremarkable: ReadonlySet<string> = new Set(["updatedAt", "version", "createdAt", "asBuilt"]);

function changesBetween<Thing extends object>(before: Thing, after: Thing): StampedEdit["changes"] {
  const changes: Record<string, readonly [unknown, unknown]> = {};
  for (const field of Object.keys(after) as (keyof Thing & string)[])
    if (!unremarkable.has(field) && JSON.stringify(before[field]) !== JSON.stringify(after[field]))
      changes[field] = [before[field], after[field]];
  return changes;
}

/** What a row says of an account besides the thing's own fields. */
export const columnsOfAccount = (account: ThingAccount) => ({
  createdAt: toMs(account.createdAt),
  updatedAt: toMs(updatedAtOf(account)),
  version: account.version,
  deletedAt: isDeleted(account.stamps) ? toMs(account.stamps.deletion?.at ?? account.createdAt) : null,
  stamps: isPlain(account) ? null : account.stamps,
});
