import type { Kept } from "../things/thing.ts";
import {
  earlierEdits,
  earlierStamps,
  havingSeenItself,
  type StampedEdit,
  type Stamps,
  settledAccount,
  type ThingAccount,
} from "./account.ts";
import type { MergedList } from "./registers.ts";

type Sent = Kept &
  Readonly<{
    stamps?: Stamps | null | undefined;
    history?:
      | readonly (Pick<StampedEdit, "at" | "changes"> & {
          stamp?: string | null | undefined;
          seen?: StampedEdit["seen"] | null | undefined;
        })[]
      | null
      | undefined;
  }>;

/** The account that a document gives of a thing; of the first documents, which had no stamps, as of a journal from then. */
export function accountIn(
  list: MergedList,
  { id, createdAt, updatedAt, version, stamps, history }: Sent,
  fields: ThingAccount["fields"],
): ThingAccount {
  const edits = history ?? [];
  const earlier = earlierEdits(edits.filter(({ stamp }) => stamp == null));
  const stamped = edits.flatMap(({ at, changes, stamp, seen }) =>
    stamp == null ? [] : [{ at, changes, stamp, seen: seen ?? {} }],
  );
  const all = [...earlier, ...stamped];
  return settledAccount(
    list,
    havingSeenItself({
      ...{ id, createdAt, fields, edits: all },
      version: Math.max(version, all.length + 1),
      stamps: stamps ?? earlierStamps(list, { id, createdAt, updatedAt, version }, all, null),
    }),
  );
}
