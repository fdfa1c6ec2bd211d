import { conflict, missing } from "../bench/things/refusal.ts";
import type { Kept } from "../bench/things/thing.ts";
import type { At } from "./context.ts";

export const dayMs = 86_400_000;

/** The shape of the stores that hold things which are added, edited, removed and brought back. */
export type KeepingStore<Thing extends Kept, Fields> = Readonly<{
  find(id: string): Thing | undefined;
  findDeleted(id: string): (Thing & { deletedAt: string }) | undefined;
  put(kept: Kept, fields: Fields): void;
  replace(id: string, fields: Fields, now: string): void;
  remove(id: string, now: string): void;
  restore(id: string): void;
}>;

export const newKept = ({ journal, now }: At): Kept => ({
  id: journal.newId(now),
  createdAt: now,
  updatedAt: now,
  version: 1,
});

export function found<Thing>(thing: Thing | undefined, what: string): Thing {
  if (thing === undefined) throw missing(what);
  return thing;
}

/** An edit that expected another version is refused with both, so that nobody's work is written over unseen. */
export function assertVersion(current: Kept, expected: number | null, sent: unknown): void {
  if (expected === null || expected === current.version) return;
  throw conflict("This was changed elsewhere since it was read. Nothing was saved; look at both.", {
    current,
    sent,
  });
}

/** Whether an edit would leave a thing as it is; one that does is no edit, and moves no version. */
export const isAsItWas = <Thing extends Kept>(current: Thing, fields: Partial<Thing>): boolean =>
  (Object.keys(fields) as (keyof Thing)[]).every(
    (name) => JSON.stringify(current[name]) === JSON.stringify(fields[name]),
  );

/** Brings back what was deleted within the day, once `standOn` has seen to what it cannot do without. */
export function restored<Thing extends Kept>(
  store: Pick<KeepingStore<Thing, unknown>, "find" | "findDeleted" | "restore">,
  id: string,
  what: string,
  { now }: Pick<At, "now">,
  standOn: (gone: Thing) => void = () => undefined,
): Thing {
  const gone = store.findDeleted(id);
  if (!gone) return found(store.find(id), what);
  if (Date.parse(now) - Date.parse(gone.deletedAt) > dayMs)
    throw conflict(`This ${what} was deleted more than a day ago and cannot be brought back.`);
  standOn(gone);
  store.restore(id);
  return found(store.find(id), what);
}
