import type { MergedList } from "../bench/document/registers.ts";
import { digestOf } from "../bench/things/digest.ts";
import type { MergeStep } from "../store/parts/merges.ts";

export type MergeConflict = Readonly<{
  kind: string;
  id: string;
  name: string;
  /** Whose account the journal holds now. */
  kept: "here" | "theirs";
  because: string;
}>;

export type MergeResult = Readonly<{
  added: number;
  updated: number;
  unchanged: number;
  conflicts: readonly MergeConflict[];
}>;

/** What comes of a merge as it goes on, and what must be known to undo it. */
export type Tally = {
  added: number;
  updated: number;
  unchanged: number;
  readonly conflicts: MergeConflict[];
  /** By list and thing, in the order they were first written: how each was before, null where it was not here. */
  readonly before: Map<string, string | null>;
  /** Of those that were not here: which came as they were first written, and need no print. */
  readonly plain: Set<string>;
  /** What was blanked there for good: what hangs on it here goes too, and does not come back. */
  readonly blanked: (readonly [MergedList, string])[];
};

export const newTally = (): Tally => ({
  added: 0,
  updated: 0,
  unchanged: 0,
  conflicts: [],
  before: new Map(),
  plain: new Set(),
  blanked: [],
});

const keyOf = (list: string, id: string): string => `${list} ${id}`;

/** To be called before a thing is written; what it was before the merge began is what counts. */
export function noteBefore(tally: Tally, list: string, id: string, before: object | null): void {
  const key = keyOf(list, id);
  tally.plain.delete(key);
  if (!tally.before.has(key)) tally.before.set(key, before === null ? null : JSON.stringify(before));
}

export const noteAdded = (
  tally: Tally,
  list: string,
  id: string,
  { isPlain }: { isPlain: boolean },
): void => {
  noteBefore(tally, list, id, null);
  if (isPlain) tally.plain.add(keyOf(list, id));
};

/** How a thing was left that came as it was first written. */
export const leftPlain = "plain";

/** The steps of a merge, with how each thing stands now that it is done. */
export function* stepsOf(
  { before, plain }: Tally,
  standing: (list: string, thingId: string) => object | null,
): Generator<MergeStep> {
  for (const [key, was] of before) {
    const place = key.indexOf(" ");
    const [list, thingId] = [key.slice(0, place), key.slice(place + 1)];
    yield {
      list,
      thingId,
      before: was,
      left: plain.has(key) ? leftPlain : standingPrint(standing(list, thingId)),
    };
  }
}

export const standingPrint = (standing: object | null): string =>
  standing === null ? "" : digestOf(JSON.stringify(standing));
