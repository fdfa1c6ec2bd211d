import { isDeepStrictEqual } from "node:util";
import type Database from "better-sqlite3";
import { LRUCache } from "lru-cache";

/**
 * So many answers are kept of one part of a list, and so many parts, with so many rows in them all: past that those go that
 * were not asked for longest.
 */
const mostKept = 500;
const mostParts = 500;
const mostRows = 150_000;

/** Where something lies in a list that is ordered by when it began, in milliseconds, and among those by its id. */
export type Place = Readonly<{ at: number; id: string }>;

/** The rows of a list in its order, all of them or those beyond one. */
export type RowsBeyond<Row, Read> = Readonly<{
  read(beyond: Row | undefined): Read;
  placeOf(row: Row): Place;
}>;

/** What was read of one list, kept until anyone writes to that list. */
export type Memory = Readonly<{
  /** A long list has parts, such as the attempts of one build, that are forgotten one by one. */
  recall<Found>(what: string, read: () => Found, part?: string): Found;
  /** The rows of a part, of which those before the place that was written to stand, and only what follows is read again. */
  recallRows<Row>(what: string, rows: RowsBeyond<Row, readonly Row[]>, part: string): readonly Row[];
  /**
   * The same, read a slice each time it is gone on with; begun anew where what it reads was written to between two slices.
   */
  recallInTurn<Row>(
    what: string,
    rows: RowsBeyond<Row, Iterable<readonly Row[]>>,
    part: string,
  ): Generator<undefined, readonly Row[]>;
  /** The same for how many rows a part has, kept of every part. */
  tally(part: string, count: () => number): number;
  /**
   * To be called with every write to the list; without a part, all of it is forgotten. Where only one place of a part was
   * written to, the rows before it stand. Whoever watches is told.
   */
  forget(part?: string, from?: Place): void;
  /** The same for what comes many times a second, and is shown by other means. */
  forgetQuietly(): void;
}>;

/** What was found, and the data version as of which that is known to stand; of rows, where it does so no longer. */
type Found = { readonly found: unknown; readonly asOf: number; readonly rows?: Standing };

type Standing = { readonly placeOf: (row: never) => Place; writtenFrom: Place | null };

/** What was asked of no one part rests on all of them. */
const whole = "";

const rowsIn = (found: unknown): number => (Array.isArray(found) ? found.length : 0);

/** What is kept of one part, and how many rows that is. */
type Part = { readonly answers: LRUCache<string, Found>; rows: number };

/**
 * What a write has put there that may still be undone is read anew, and so is everything once another connection has
 * committed, which shows in SQLite's data version. Where the same is read again, the very same object is given: what was
 * worked out of it stands.
 */
export function memoryOf(
  client: Database.Database,
  writing: Readonly<{ begun(): number; committedElsewhere(): number }>,
  note: (id: string) => void,
): Memory {
  let rows = 0;
  const kept = new LRUCache<string, Part>({
    max: mostParts,
    dispose: (part) => {
      rows -= part.rows;
    },
  });
  const tallies = new Map<string, number>();
  let asOf = 0;
  let writtenIn = 0;
  let writes = 0;

  const mayBeUndone = (): boolean => client.inTransaction && writtenIn === writing.begun();

  function heedOthers(): void {
    const now = writing.committedElsewhere();
    if (now !== asOf) tallies.clear();
    asOf = now;
  }

  function clear(): void {
    kept.clear();
    tallies.clear();
  }

  function partOf(name: string): Part {
    heedOthers();
    const part = kept.get(name) ?? emptyPart();
    if (!kept.has(name)) kept.set(name, part);
    return part;
  }

  function emptyPart(): Part {
    const dispose = ({ found }: Found): void => count(part, -rowsIn(found));
    const part: Part = { answers: new LRUCache({ max: mostKept, dispose }), rows: 0 };
    return part;
  }

  function count(part: Part, more: number): void {
    part.rows += more;
    rows += more;
  }

  function keep(part: Part, what: string, found: unknown, rowsFound?: Standing): void {
    part.answers.set(what, { found, asOf, ...(rowsFound && { rows: rowsFound }) });
    count(part, rowsIn(found));
    while (rows > mostRows && kept.size > 1) kept.pop();
  }

  /** What is known of some rows, and how many of them stand. */
  function knownRows<Row>(what: string, placeOf: (row: Row) => Place, part: string) {
    const known = partOf(part).answers.get(what);
    const before = (known?.found ?? []) as readonly Row[];
    if (known?.asOf !== asOf) return { before, stand: 0, areAll: false };
    const from = known.rows?.writtenFrom ?? null;
    return {
      before,
      stand: from === null ? before.length : countBefore(before, from, placeOf),
      areAll: from === null,
    };
  }

  return {
    recall<Found>(what: string, readAnew: () => Found, part = whole): Found {
      if (mayBeUndone()) return readAnew();
      const known = partOf(part).answers.get(what);
      if (known?.asOf === asOf) return known.found as Found;
      const read = readAnew();
      const found = known && isDeepStrictEqual(known.found, read) ? (known.found as Found) : read;
      keep(partOf(part), what, found);
      return found;
    },
    recallRows<Row>(what: string, { read, placeOf }: RowsBeyond<Row, readonly Row[]>, part: string) {
      if (mayBeUndone()) return read(undefined);
      const { before, stand, areAll } = knownRows(what, placeOf, part);
      if (areAll) return before;
      const later = read(before[stand - 1]);
      const found = isDeepStrictEqual(before.slice(stand), later)
        ? before
        : [...before.slice(0, stand), ...later];
      keep(partOf(part), what, found, { placeOf, writtenFrom: null });
      return found;
    },
    *recallInTurn<Row>(
      what: string,
      { read, placeOf }: RowsBeyond<Row, Iterable<readonly Row[]>>,
      part: string,
    ) {
      for (;;) {
        const { before, stand, areAll } = knownRows(what, placeOf, part);
        if (areAll) return before;
        const begun = { asOf, writes };
        const isStill = (): boolean => {
          heedOthers();
          return begun.asOf === asOf && begun.writes === writes;
        };
        const found = yield* slicesLike(before, stand, read(before[stand - 1]), isStill);
        if (found === null) continue;
        keep(partOf(part), what, found, { placeOf, writtenFrom: null });
        return found;
      }
    },
    tally(part: string, count: () => number): number {
      if (mayBeUndone()) return count();
      heedOthers();
      const known = tallies.get(part) ?? count();
      tallies.set(part, known);
      return known;
    },
    forgetQuietly: () => forget(),
    forget(part?: string, from?: Place): void {
      note(part ?? whole);
      forget(part, from);
    },
  };

  function forget(part?: string, from?: Place): void {
    if (part === undefined) clear();
    else {
      if (from === undefined) kept.delete(part);
      else forgetFrom(from, kept.peek(part));
      kept.delete(whole);
      tallies.delete(part);
    }
    writtenIn = writing.begun();
    writes += 1;
  }
}

/** Of a part all goes but rows in order: those keep what lies before. */
function forgetFrom(from: Place, part: Part | undefined): void {
  for (const [what, { rows }] of part?.answers.entries() ?? []) {
    if (rows === undefined) part?.answers.delete(what);
    else if (rows.writtenFrom === null || isBefore(from, rows.writtenFrom)) rows.writtenFrom = from;
  }
}

const isBefore = (one: Place, other: Place): boolean =>
  one.at < other.at || (one.at === other.at && one.id < other.id);

/** What was written last is what is mostly written to: they are gone through from the end. */
function countBefore<Row>(rows: readonly Row[], from: Place, placeOf: (row: Row) => Place): number {
  let count = rows.length;
  while (count > 0 && !isBefore(placeOf(rows[count - 1]!), from)) count -= 1;
  return count;
}

/**
 * Those of before that stand and all rows of the slices, or the very list of before where they are the same; null once they
 * no longer belong together.
 */
function* slicesLike<Row>(
  before: readonly Row[],
  stand: number,
  slices: Iterable<readonly Row[]>,
  isStill: () => boolean,
): Generator<undefined, readonly Row[] | null> {
  const rows = before.slice(0, stand);
  let isSame = true;
  for (const slice of slices) {
    isSame &&= isDeepStrictEqual(before.slice(rows.length, rows.length + slice.length), slice);
    rows.push(...slice);
    yield;
    if (!isStill()) return null;
  }
  return isSame && rows.length === before.length && rows.length > 0 ? before : rows;
}
