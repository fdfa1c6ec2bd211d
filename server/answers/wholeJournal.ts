import { type ThingAccount, updatedAtOf } from "../bench/document/account.ts";
import { deletedSection, documentVersion } from "../bench/document/journalDocument.ts";
import { type MergedList, mergedLists } from "../bench/document/registers.ts";
import { packingVersion } from "../bench/document/traceInDocument.ts";
import type { Picture } from "../bench/pictures/picture.ts";
import type { Attempt } from "../bench/things/attempt.ts";
import type { Kept } from "../bench/things/thing.ts";
import type { Journal } from "../store/file/journal.ts";

/** What the document holds, in an order in which each thing comes after what it refers to. */
const sections: Readonly<Record<string, (journal: Journal) => Iterable<unknown>>> = {
  chips: ({ chips }) => toldThings(chips),
  boards: ({ boards }) => toldThings(boards),
  workloads: ({ workloads }) => toldThings(workloads),
  rules: ({ rules }) => toldThings(rules),
  builds: ({ builds }) => toldThings(builds),
  mounts: ({ mounts }) => toldThings(mounts),
  versions: ({ versions }) => toldThings(versions),
  noise: ({ noise }) => toldThings(noise),
  attempts: attemptsWithHistory,
  outputs: ({ attempts }) => attempts.outputs(),
  pictures: picturesWithImage,
  writeUpWords: ({ writeUpWords }) => writeUpWords.all(),
  traces: traceOutlines,
  traceChunks,
  gaveWay: ({ attempts }) => attempts.allGaveWay(),
  earlierWords: ({ writeUpWords }) => writeUpWords.allEarlier(),
  [deletedSection]: deletedThings,
};

/** So many characters are sent in one piece, or the one thing that has more. */
const pieceLength = 1 << 18;

/**
 * The whole journal as one JSON text, piece by piece, so that no more of it is in memory than a few hundred attempts.
 * `lost` says what could not be read of a damaged one.
 */
export function* wholeJournalText(
  journal: Journal,
  now: string,
  lost: readonly string[] = [],
): Generator<string> {
  yield head(now) + notRead(lost);
  for (const [name, things] of Object.entries(sections)) {
    yield `,\n"${name}":[`;
    yield* listed(things(journal));
    yield "]";
  }
  yield "}\n";
}

/** What could be read of a journal that turned out damaged, and sentences on what could not. */
export type Rescued = Readonly<{ journal: Journal; lost: readonly string[] }>;

/**
 * The same of a journal in which damage may be met on the way: from there on it goes on with what `rescue` could read,
 * and what could not be read is said at the end. `rescue` throws whatever is no damage.
 */
export async function* wholeJournalTextDespite(
  journal: Journal,
  now: string,
  rescue: (error: unknown) => Promise<Rescued>,
): AsyncGenerator<string> {
  let rescued: Rescued | null = null;
  yield head(now);
  for (const [name, things] of Object.entries(sections)) {
    const sent = new Set<string>();
    yield `,\n"${name}":[`;
    try {
      yield* listed(noted(things(rescued?.journal ?? journal), sent));
    } catch (error) {
      if (rescued !== null) throw error;
      rescued = await rescue(error);
      yield* listed(without(things(rescued.journal), sent), sent.size === 0);
    }
    yield "]";
  }
  yield `${notRead(rescued?.lost ?? [])}}\n`;
}

const head = (now: string): string =>
  `{"journal":"rungbook","version":${documentVersion},"exportedAt":${JSON.stringify(now)}`;
const notRead = (lost: readonly string[]): string =>
  lost.length > 0 ? `,"notRead":${JSON.stringify(lost.join(" "))}` : "";

/** What was gathered before a fault is given before it is thrown on. */
function* listed(things: Iterable<unknown>, isFirst = true): Generator<string> {
  let piece = "";
  let before = isFirst ? "\n" : ",\n";
  try {
    for (const thing of things) {
      piece += before + JSON.stringify(thing);
      before = ",\n";
      if (piece.length < pieceLength) continue;
      yield piece;
      piece = "";
    }
  } catch (error) {
    yield piece;
    throw error;
  }
  yield piece;
}

/** By what a thing is known among those of its section. */
function nameOf(thing: unknown): string {
  const {
    id,
    attemptId,
    channel,
    chunk,
    builds,
    slot,
    what,
    stamp,
    thing: deleted,
  } = thing as Record<string, unknown>;
  const of = [id, attemptId, channel, chunk, builds, slot, what, stamp];
  return JSON.stringify([...of, (deleted as Kept | undefined)?.id]);
}

function* noted(things: Iterable<unknown>, sent: Set<string>): Generator<unknown> {
  for (const thing of things) {
    sent.add(nameOf(thing));
    yield thing;
  }
}

function* without(things: Iterable<unknown>, sent: ReadonlySet<string>): Generator<unknown> {
  for (const thing of things) if (!sent.has(nameOf(thing))) yield thing;
}

type ToldStore = Readonly<{
  all(): readonly Kept[];
  told(): ReadonlySet<string>;
  accountOf(id: string): ThingAccount | undefined;
}>;

/** Where more is known of a thing than its fields and times say, its stamps and its history stand beside them. */
function* toldThings(store: ToldStore): Generator<Kept> {
  const told = store.told();
  for (const thing of store.all())
    yield told.has(thing.id) ? withStamps(thing, store.accountOf(thing.id)) : thing;
}

function withStamps<Thing extends Kept>(thing: Thing, account: ThingAccount | undefined): Thing {
  if (account === undefined) return thing;
  const { createdAt, stamps, edits: history } = account;
  return { ...thing, createdAt, updatedAt: updatedAtOf(account), stamps, history };
}

function* deletedThings(journal: Journal): Generator<unknown> {
  for (const list of mergedLists) {
    const { removedIds, findDeleted, accountOf } = journal[list];
    for (const id of removedIds()) {
      const gone = findDeleted(id);
      if (gone === undefined) continue;
      const { deletedAt: _at, ...thing } = gone;
      yield { list, thing: withStamps(inDocument(list, thing, journal), accountOf(id)) };
    }
  }
}

const inDocument = (list: MergedList, thing: Kept, journal: Journal): Kept =>
  list === "pictures" ? withImage(thing as Picture, journal) : thing;

/** What follows from the bytes is left out: it is found again when they are read. */
const withImage = (
  { type: _t, widthPx: _w, heightPx: _h, sizeBytes: _s, ...picture }: Picture,
  { pictures }: Journal,
) => ({ ...picture, image: pictures.imageOf(picture.id)?.toString("base64") ?? "" });

function* picturesWithImage(journal: Journal): Generator<unknown> {
  for (const picture of toldThings(journal.pictures)) yield withImage(picture as Picture, journal);
}

function* traceOutlines({ traces }: Journal): Generator<unknown> {
  for (const attemptId of traces.attempts.ids()) {
    const { id: _id, ...outline } = traces.outline(attemptId) ?? {};
    yield { attemptId, packing: packingVersion, ...outline };
  }
}

/** Chunk by chunk, since a trace may be larger than memory. */
function* traceChunks({ traces }: Journal): Generator<unknown> {
  for (const attemptId of traces.attempts.ids())
    for (const { packed, ...chunk } of traces.packedChunks(attemptId))
      yield { attemptId, ...chunk, packed: packed.toString("base64") };
}

function* attemptsWithHistory({ builds, attempts }: Journal): Generator<unknown> {
  for (const build of builds.all()) {
    const told = attempts.told(build.id);
    for (let after: string | null = null, more = true; more; ) {
      const page: { items: readonly Attempt[]; next: string | null } = attempts.pageOf(build.id, {
        limit: 500,
        after,
      });
      for (const attempt of page.items)
        yield told.has(attempt.id)
          ? withStamps(attempt, attempts.accountOf(attempt.id))
          : Object.assign(attempt, { history: [] });
      after = page.next;
      more = after !== null;
    }
  }
}
