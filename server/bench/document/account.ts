import { crc32 } from "node:zlib";
import { blanked, type MergedList, registerOf } from "./registers.ts";
import {
  bothSeen,
  earlier,
  hasSeen,
  hasSeenAll,
  type Seen,
  type Stamp,
  seenToo,
  stampOf,
  timeOf,
} from "./stamp.ts";

/** One edit as it is kept: what each changed field was and is, when it was written, and what its writer had seen by then. */
export type StampedEdit = Readonly<{
  at: string;
  changes: Readonly<Record<string, readonly [before: unknown, after: unknown]>>;
  stamp: Stamp;
  seen: Seen;
}>;

/** A deletion beats only what it has seen; `raised` once something beat it, or somebody took it back. */
type Deletion = Readonly<{ stamp: Stamp; at: string; seen: Seen; raised: boolean }>;

/** When what of a thing was written. What stands in no field is of `base`. */
export type Stamps = Readonly<{
  base: string;
  fields: Readonly<Record<string, Stamp>>;
  seen: Seen;
  deletion: Deletion | null;
  /** Its words are gone for good, here and wherever this is merged. */
  blanked: boolean;
}>;

/** All that one journal holds of a thing: two of them make one that holds all that either does, in whatever order. */
export type ThingAccount = Readonly<{
  id: string;
  createdAt: string;
  version: number;
  fields: Readonly<Record<string, unknown>>;
  stamps: Stamps;
  /** In order of their stamps. */
  edits: readonly StampedEdit[];
}>;

const baseStamp = (base: string): Stamp => stampOf(Date.parse(base), 0, "");

export const stampIn = ({ base, fields }: Stamps, register: string): Stamp =>
  fields[register] ?? baseStamp(base);

/** Everything that was known of the thing, its first writing with it. */
export const contextOf = (stamps: Stamps): Seen => seenToo(stamps.seen, baseStamp(stamps.base));

/** The time of the latest thing that was written of it. */
export const latestIn = (stamps: Stamps): string =>
  [...Object.values(contextOf(stamps)), timeOf(stamps.deletion?.stamp ?? "")].reduce(later);

/** What was written has been seen, whatever a document says of itself. */
export const havingSeenItself = ({ stamps, edits, ...account }: ThingAccount): ThingAccount => ({
  ...account,
  edits: [...edits].sort((a, b) => (a.stamp < b.stamp ? -1 : 1)),
  stamps: {
    ...stamps,
    fields: newerThan(stamps.base, stamps.fields),
    seen: [...Object.values(stamps.fields), ...edits.map(({ stamp }) => stamp)].reduce(
      seenToo,
      bothSeen({}, stamps.seen),
    ),
  },
});

export const isDeleted = ({ deletion }: Stamps): boolean => deletion !== null && !deletion.raised;

/** Whether its stamps follow from its times. */
export const isPlain = ({ stamps, edits }: ThingAccount): boolean =>
  edits.length === 0 &&
  stamps.deletion === null &&
  !stamps.blanked &&
  Object.keys(stamps.fields).length === 0 &&
  Object.keys(stamps.seen).length === 0;

/** The latest edit by its stamp tells when a thing was last written to. */
export function updatedAtOf({ stamps, edits }: ThingAccount): string {
  const last = edits.at(-1);
  return last !== undefined && last.stamp > baseStamp(stamps.base) ? last.at : stamps.base;
}

export const editedStamps = (stamps: Stamps, registers: Iterable<string>, stamp: Stamp): Stamps => ({
  ...stamps,
  fields: newerThan(stamps.base, {
    ...stamps.fields,
    ...Object.fromEntries([...registers].map((register) => [register, stamp])),
  }),
  seen: seenToo(stamps.seen, stamp),
});

export const deletedStamps = (stamps: Stamps, stamp: Stamp, at: string): Stamps => ({
  ...stamps,
  deletion: { stamp, at, seen: contextOf(stamps), raised: false },
});

/** Something that stands names it. */
export const raisedStamps = (stamps: Stamps): Stamps => ({
  ...stamps,
  deletion: stamps.deletion && { ...stamps.deletion, raised: true },
});

/** Somebody takes the deletion back, which another deletion of that moment has not seen. */
export const restoredStamps = (stamps: Stamps, stamp: Stamp): Stamps => ({
  ...raisedStamps(stamps),
  seen: seenToo(stamps.seen, stamp),
});

type Earlier = Readonly<{ id: string; createdAt: string; updatedAt: string; version: number }>;

/**
 * Stamps of what was written before there were any: from its times and its history, not from where it lies, so that two
 * copies of one old journal stamp alike.
 */
export function earlierStamps(
  list: MergedList,
  { createdAt, updatedAt, version }: Earlier,
  edits: readonly StampedEdit[],
  deletedAt: string | null,
): Stamps {
  const isWhole = version - 1 === edits.length;
  const base = isWhole && edits.length > 0 ? createdAt : updatedAt;
  const fields: Record<string, Stamp> = {};
  for (const { changes, stamp } of edits)
    for (const field of Object.keys(changes)) fields[registerOf(list, field)] = stamp;
  const stamps = {
    base,
    fields: newerThan(base, fields),
    seen: edits.reduce<Seen>((seen, { stamp }) => seenToo(seen, stamp), {}),
    deletion: null,
    blanked: false,
  };
  if (deletedAt === null) return stamps;
  const stamp = stampOf(Date.parse(deletedAt), 0, "");
  return { ...stamps, deletion: { stamp, at: deletedAt, seen: contextOf(stamps), raised: false } };
}

/** The edits of a history from before there were stamps, in their order. Each has seen those before it. */
export function earlierEdits(edits: readonly Pick<StampedEdit, "at" | "changes">[]): StampedEdit[] {
  let seen: Seen = {};
  let sameMoment = 0;
  return edits.map(({ at, changes }, place) => {
    sameMoment = edits[place - 1]?.at === at ? sameMoment + 1 : 0;
    const writer = earlier + crc32(JSON.stringify([at, changes])).toString(36);
    const stamp = stampOf(Date.parse(at), sameMoment, writer);
    const edit = { at, changes, stamp, seen };
    seen = seenToo(seen, stamp);
    return edit;
  });
}

const newerThan = (base: string, fields: Readonly<Record<string, Stamp>>): Record<string, Stamp> =>
  Object.fromEntries(
    Object.entries(fields)
      .filter(([, stamp]) => stamp > baseStamp(base))
      .sort(([a], [b]) => (a < b ? -1 : 1)),
  );

/** A field, or several that belong together, that two journals hold otherwise though neither had seen the other's. */
export type Apart = Readonly<{ register: string; kept: "here" | "theirs"; sameMoment: boolean }>;

/**
 * Two accounts of one thing as one: of each field the latest writing, all edits, all that was seen. In whatever order
 * accounts are joined, and however often, the outcome is the same.
 */
export function joined(list: MergedList, here: ThingAccount, theirs: ThingAccount): ThingAccount {
  const base = later(here.stamps.base, theirs.stamps.base);
  const written = new Set([...Object.keys(here.stamps.fields), ...Object.keys(theirs.stamps.fields)]);
  const stamps = [...written].map((register): [string, Stamp] => {
    const [ours, others] = [stampIn(here.stamps, register), stampIn(theirs.stamps, register)];
    return [register, later(ours, others)];
  });
  const edits = allEdits(here.edits, theirs.edits);
  const isBlanked = here.stamps.blanked || theirs.stamps.blanked;
  const edited = (account: ThingAccount): number => account.version - account.edits.length;
  return settledAccount(list, {
    id: here.id,
    createdAt: earliest(here.createdAt, theirs.createdAt),
    version: isBlanked
      ? Math.max(here.version, theirs.version)
      : Math.max(edited(here), edited(theirs)) + edits.length,
    fields: joinedFields(list, here, theirs),
    stamps: {
      base,
      fields: newerThan(base, Object.fromEntries(stamps)),
      seen: bothSeen(here.stamps.seen, theirs.stamps.seen),
      deletion: laterDeletion(here.stamps.deletion, theirs.stamps.deletion),
      blanked: isBlanked,
    },
    edits,
  });
}

/** The very fields of the one that is here where they hold the same. */
function joinedFields(list: MergedList, here: ThingAccount, theirs: ThingAccount): ThingAccount["fields"] {
  const winning = registersApart(list, here, theirs).filter((register) =>
    winsOver(list, register, theirs, here),
  );
  if (winning.length === 0) return here.fields;
  return Object.fromEntries(
    Object.keys(here.fields).map((field) => [
      field,
      (winning.includes(registerOf(list, field)) ? theirs : here).fields[field],
    ]),
  );
}

/** What two accounts hold otherwise. Most fields are alike, so they are looked at one by one. */
const registersApart = (list: MergedList, here: ThingAccount, theirs: ThingAccount): readonly string[] => [
  ...new Set(
    Object.keys(here.fields)
      .filter((field) => !isAlike(here.fields[field], theirs.fields[field]))
      .map((field) => registerOf(list, field)),
  ),
];

const isAlike = (one: unknown, other: unknown): boolean =>
  one === other || JSON.stringify(one) === JSON.stringify(other);

const later = (one: string, other: string): string => (one > other ? one : other);
const earliest = (one: string, other: string): string => (one > other ? other : one);

/** Where both were written at once by nobody known, what is written decides. */
function winsOver(list: MergedList, register: string, one: ThingAccount, other: ThingAccount): boolean {
  const [stamp, others] = [stampIn(one.stamps, register), stampIn(other.stamps, register)];
  if (stamp !== others) return stamp > others;
  return written(list, register, one) > written(list, register, other);
}

/** What an account holds under one register, to be compared; something comes after nothing. */
const written = (list: MergedList, register: string, { fields }: ThingAccount): string =>
  JSON.stringify(
    Object.keys(fields)
      .filter((field) => registerOf(list, field) === register)
      .sort()
      .map((field) => (fields[field] == null ? "" : [fields[field]])),
  );

function laterDeletion(one: Deletion | null, other: Deletion | null): Deletion | null {
  if (one === null || other === null) return one ?? other;
  if (one.stamp === other.stamp)
    return {
      stamp: one.stamp,
      at: later(one.at, other.at),
      seen: bothSeen(one.seen, other.seen),
      raised: one.raised || other.raised,
    };
  return one.stamp > other.stamp ? one : other;
}

function allEdits(here: readonly StampedEdit[], theirs: readonly StampedEdit[]): StampedEdit[] {
  const all = new Map(here.map((edit) => [edit.stamp, edit]));
  for (const edit of theirs) {
    const known = all.get(edit.stamp);
    if (known === undefined || JSON.stringify(edit) > JSON.stringify(known)) all.set(edit.stamp, edit);
  }
  return [...all.values()].sort((a, b) => (a.stamp < b.stamp ? -1 : 1));
}

/** A deletion is beaten by what it had not seen; what is blanked stays so. */
export function settledAccount(list: MergedList, account: ThingAccount): ThingAccount {
  const { stamps } = account;
  const { deletion } = stamps;
  const beaten =
    deletion !== null &&
    !hasSeenAll(deletion.seen, contextOf(stamps)) &&
    !wasDeletedRunning(account, deletion);
  const settledStamps = beaten ? raisedStamps(stamps) : stamps;
  if (!stamps.blanked) return { ...account, stamps: settledStamps };
  return {
    ...account,
    fields: blanked(list, account.fields),
    stamps: settledStamps,
    edits: [],
  };
}

/** An attempt that was deleted while it ran runs no more, so it does not come back by itself. */
const wasDeletedRunning = ({ fields, stamps }: ThingAccount, { seen }: Deletion): boolean =>
  fields.outcome === "running" && hasSeen(seen, stampIn(stamps, "outcome"));

/** What both hold otherwise though neither had seen the other's writing. */
export function heldApart(list: MergedList, here: ThingAccount, theirs: ThingAccount): readonly Apart[] {
  return registersApart(list, here, theirs).flatMap((register): Apart | [] => {
    const [ours, others] = [stampIn(here.stamps, register), stampIn(theirs.stamps, register)];
    const seenHere = hasSeen(contextOf(here.stamps), others);
    const seenThere = hasSeen(contextOf(theirs.stamps), ours);
    if (ours !== others && (seenHere || seenThere) && !isGrownApart(here, theirs)) return [];
    const kept = winsOver(list, register, theirs, here) ? "theirs" : "here";
    return { register, kept, sameMoment: timeOf(ours) === timeOf(others) };
  });
}

/**
 * Of two accounts from before there were stamps a newer one with more edits has most likely grown from the other; one
 * with as many or fewer has certainly been edited apart from it.
 */
function isGrownApart(one: ThingAccount, other: ThingAccount): boolean {
  if (!isPlain(one) || !isPlain(other)) return false;
  const [older, newer] = one.stamps.base < other.stamps.base ? [one, other] : [other, one];
  return newer.version <= older.version;
}

/** So many of the latest edits are held against each other. */
const mostCompared = 300;

/** The edits that were written apart: another of the same field had not been seen, nor saw this one. */
export function editedApart(list: MergedList, edits: readonly StampedEdit[]): ReadonlySet<Stamp> {
  const apart = new Set<Stamp>();
  const latest = edits.slice(-mostCompared).map((edit) => ({
    ...edit,
    registers: new Set(Object.keys(edit.changes).map((field) => registerOf(list, field))),
  }));
  latest.forEach((edit, place) => {
    for (const other of latest.slice(0, place)) {
      if (hasSeen(edit.seen, other.stamp) || hasSeen(other.seen, edit.stamp)) continue;
      if ([...edit.registers].some((register) => other.registers.has(register)))
        apart.add(edit.stamp).add(other.stamp);
    }
  });
  return apart;
}
